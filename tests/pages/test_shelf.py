from datetime import date, timedelta

import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio
from webapp.records.tables import Bottle, Constituent, Pigment

LABEL = "Aqua, CI 77491, CI 77891, Carbon black (CI 77266), quibble root"


def add(studio: Studio, **entries: str) -> int:
    return studio._sent("/pigments", {"name": "Oak", "note": ""} | entries)


def shown(studio: Studio, pigment: int = 1) -> Page:
    return Page(studio.browser.get(f"/pigments/{pigment}"))


class TestPigments:
    def test_one_is_added(self, studio: Studio) -> None:
        add(studio, family="inorganic", note="old stock")
        words = Page(studio.browser.get("/pigments")).words
        assert "Oak inorganic old stock" in words

    @pytest.mark.parametrize(
        ("field", "entry"),
        [
            ("name", ""),
            ("name", "o" * 121),
            ("shade", "s" * 121),
            ("maker", "m" * 121),
            ("label", "l" * 5001),
            ("family", "herbal"),
            ("family_because", "b" * 501),
            ("note", "n" * 2001),
        ],
    )
    def test_a_wrong_entry_is_named_and_the_rest_kept(self, studio: Studio, field: str, entry: str) -> None:
        sent = {"name": "Oak", "family": "inorganic", "note": "CI 77491", "label": "x", "sites": "left brow"}
        sent |= {"shade": "deep", "maker": "invented", "family_because": "so", field: entry}
        page = refused(studio.browser.post("/pigments", data=sent), field)
        kept = [k for k in sent if (k, field) != ("family", "family")]
        assert {k: page.fields[k] for k in kept} == {k: sent[k] for k in kept}
        assert studio.rows(Pigment) == []

    @pytest.mark.parametrize("again", ["Öak", "öak", "ÖAK"])
    def test_a_name_cannot_be_given_twice(self, studio: Studio, again: str) -> None:
        add(studio, name="Öak")
        add(studio, name="Beech")
        refused(studio.browser.post("/pigments", data={"name": again}), "name")
        refused(studio.browser.post("/pigments/2/edit", data={"name": again}), "name")
        assert studio.browser.post("/pigments/1/edit", data={"name": again}).status_code == 303

    @pytest.mark.parametrize(
        ("words", "found"),
        [
            ("", ["Äther", "Oak", "Umber"]),
            ("ather", ["Äther"]),
            ("MAPLE", ["Oak"]),
            ("77491", ["Umber"]),
            ("77491 inorganic", ["Umber"]),
            ("titanium", []),
            ("quibble", ["Umber"]),
            ("%", []),
        ],
    )
    def test_the_shelf_is_searched(self, studio: Studio, words: str, found: list[str]) -> None:
        add(studio, name="Oak", shade="Maple")
        add(studio, name="Umber", label="CI 77491, quibble")
        add(studio, name="Äther")
        page = studio.browser.get("/pigments", params={"q": words}).text
        assert {n for n in ("Oak", "Umber", "Äther") if f">{n}</a>" in page} == set(found)

    def test_many_are_shown_a_page_at_a_time(self, studio: Studio) -> None:
        for number in range(70):
            add(studio, name=f"Pigment {number:02d}")
        first = Page(studio.browser.get("/pigments")).words
        second = Page(studio.browser.get("/pigments?start=60")).words
        assert "1 to 60 of 70" in first
        assert "Pigment 69" not in first
        assert "Pigment 69" in second

    def test_the_table_of_numbers_names_its_sources(self, studio: Studio) -> None:
        words = Page(studio.browser.get("/pigments/colour-index")).words
        assert "77491 Pigment Red 101" in words
        assert "from memory, to be confirmed" in words


class TestLabel:
    def test_it_is_understood_and_kept_as_typed(self, studio: Studio) -> None:
        add(studio, label=LABEL + "\nContains nickel.\nLOT 7")
        page = shown(studio)
        assert "Family: hybrid" in page.words
        assert "red iron oxide: red to brown, inorganic" in page.words
        assert "titanium dioxide: white" in page.words
        assert "contains nickel" in page.words
        assert "The label also says: Contains nickel; LOT 7." in page.words
        assert [(c.text, c.colour_index, c.role) for c in studio.rows(Constituent)] == [
            ("Aqua", "", "carrier"),
            ("CI 77491", "77491", "colourant"),
            ("CI 77891", "77891", "colourant"),
            ("Carbon black (CI 77266)", "77266", "colourant"),
            ("quibble root", "", "unknown"),
        ]
        assert (
            Page(studio.browser.get("/pigments/1/edit")).fields["label"].split()
            == (LABEL + "\nContains nickel.\nLOT 7").split()
        )

    def test_what_is_not_understood_is_asked_about(self, studio: Studio) -> None:
        add(studio, label="CI 77491, quibble root, sooty stuff")
        page = shown(studio)
        assert "“quibble root”" in page.words
        assert "Family: inorganic" in page.words
        unknown = [c.id for c in studio.rows(Constituent) if c.role == "unknown"]
        answers = {f"role_{unknown[0]}": "carrier", f"number_{unknown[0]}": ""}
        answers |= {f"role_{unknown[1]}": "unknown", f"number_{unknown[1]}": "77266"}
        assert studio.browser.post("/pigments/1/constituents", data=answers).status_code == 303
        page = shown(studio)
        assert "Not understood" not in page.words
        assert "Family: hybrid" in page.words
        assert [(c.role, c.colour_index) for c in studio.rows(Constituent)][1:] == [
            ("carrier", ""),
            ("colourant", "77266"),
        ]

    def test_an_answer_is_remembered_when_the_label_changes_and_for_other_pigments(self, studio: Studio) -> None:
        add(studio, label="CI 77491, quibble")
        studio.browser.post("/pigments/1/constituents", data={"role_2": "carrier", "number_2": ""})
        studio.browser.post("/pigments/1/edit", data={"name": "Oak", "label": "CI 77491, CI 77492, quibble"})
        add(studio, name="Beech", label="quibble, CI 77499")
        assert "Not understood" not in shown(studio, 1).words + shown(studio, 2).words

    @pytest.mark.parametrize("wrong", ["seven", "123", "CI", "7749", "''; DROP TABLE pigment"])
    def test_a_number_that_is_none_is_named_and_the_answers_kept(self, studio: Studio, wrong: str) -> None:
        add(studio, label="quibble")
        answer = studio.browser.post("/pigments/1/constituents", data={"role_1": "other", "number_1": wrong})
        page = refused(answer, "number_1")
        assert (page.fields["role_1"], page.fields["number_1"]) == ("other", wrong)
        assert studio.rows(Constituent)[0].role == "unknown"

    def test_a_restricted_colourant_is_told_calmly(self, studio: Studio) -> None:
        add(studio, label="Pigment Blue 15:3")
        assert "is restricted in the EU" in shown(studio).words
        assert "Local law decides" in shown(studio).words
        assert "CI 74160 restricted in the EU" in Page(studio.browser.get("/pigments")).words


class TestFamily:
    def test_it_is_overruled_with_a_reason_alone(self, studio: Studio) -> None:
        sent = {"name": "Oak", "label": "CI 77491", "family": "hybrid"}
        page = refused(studio.browser.post("/pigments", data=sent), "family_because")
        assert page.fields["family"] == "hybrid"
        add(studio, **sent, family_because="the maker says so")
        page = shown(studio)
        assert "Family: hybrid" in page.words
        assert "Overruled, because: the maker says so" in page.words
        assert "it would be inorganic" in page.words

    def test_a_changed_label_changes_it_unless_overruled(self, studio: Studio) -> None:
        add(studio, name="Oak", label="CI 77491")
        add(studio, name="Beech", label="CI 77491", family="hybrid", family_because="so")
        for number, name in ((1, "Oak"), (2, "Beech")):
            form = Page(studio.browser.get(f"/pigments/{number}/edit")).fields
            assert form["name"] == name
            form = {k: form.get(k, "") for k in ("name", "family", "family_because")}
            studio.browser.post(f"/pigments/{number}/edit", data=form | {"label": "CI 77266"})
        assert [p.family for p in studio.rows(Pigment)] == ["carbon/organic", "hybrid"]

    def test_without_constituents_it_is_what_was_entered(self, studio: Studio) -> None:
        add(studio, family="hybrid")
        assert "As you entered it" in shown(studio).words
        assert Page(studio.browser.get("/pigments/1/edit")).fields["family"] == "hybrid"
        studio.browser.post("/pigments/1/edit", data={"name": "Oak", "label": "CI 77491", "family": ""})
        assert [(p.family, p.family_because) for p in studio.rows(Pigment)] == [("inorganic", "")]


class TestBottles:
    def add(self, studio: Studio, **entries: str):
        sent = {"batch": "A17", "opened": "", "expires": "", "months": "", "empty": "", "note": ""}
        return studio.browser.post("/pigments/1/bottles/new", data=sent | entries)

    def test_one_is_added_and_changed(self, studio: Studio) -> None:
        add(studio)
        self.add(studio, opened="2026-01-31", expires="02/2099", months="12")
        bottle = studio.rows(Bottle)[0]
        assert (bottle.batch, bottle.opened_on, bottle.months_after_opening) == ("A17", date(2026, 1, 31), 12)
        assert bottle.expires_on == date(2099, 2, 28)
        fields = Page(studio.browser.get("/bottles/1")).fields
        assert (fields["expires"], fields["months"]) == ("2099-02-28", "12")
        studio.browser.post("/bottles/1", data=fields | {"batch": "B2"})
        assert studio.rows(Bottle)[0].batch == "B2"

    @pytest.mark.parametrize(
        ("field", "entry"),
        [
            ("batch", "b" * 81),
            ("opened", (date.today() + timedelta(days=1)).isoformat()),
            ("expires", "next spring"),
            ("months", "0"),
            ("months", "1.5"),
            ("months", "many"),
            ("empty", "2019-12-31"),
            ("note", "n" * 2001),
        ],
    )
    def test_a_wrong_entry_is_named_and_the_rest_kept(self, studio: Studio, field: str, entry: str) -> None:
        add(studio)
        sent = {"batch": "A17", "opened": "2020-01-01", "expires": "2030-01", "months": "12", "empty": "", "note": "x"}
        page = refused(self.add(studio, **(sent | {field: entry})), field)
        assert page.fields == sent | {field: entry}
        assert studio.rows(Bottle) == []

    def test_its_age_is_told(self, studio: Studio) -> None:
        add(studio)
        self.add(studio, batch="OLD", expires="2021-03")
        self.add(studio, batch="OPEN", opened="2020-05-31", months="9")
        self.add(studio, batch="FRESH", opened=date.today().isoformat())
        words = shown(studio).words
        assert "This bottle expired on 31 Mar 2021." in words
        assert "9 months after opening ended on 28 Feb 2021" in words
        assert "0 months ago" in words
        assert words.count("may still be used") == 2
        assert "batch OLD: expired" in Page(studio.browser.get("/pigments")).words

    def test_it_is_marked_as_empty_and_deleted(self, studio: Studio) -> None:
        add(studio)
        self.add(studio, expires="2021-03")
        studio.browser.post("/bottles/1", data={"is_empty": "yes"})
        assert studio.rows(Bottle)[0].empty_on == date.today()
        assert "expired" not in shown(studio).words
        studio.browser.post("/bottles/1", data={"delete": "yes"})
        assert studio.rows(Bottle) == []


class TestDeleting:
    def test_one_that_was_never_used_goes_with_all_that_is_its(self, studio: Studio) -> None:
        add(studio, label=LABEL)
        studio.browser.post("/pigments/1/bottles/new", data={"batch": "A"})
        assert studio.browser.post("/pigments/1/delete").status_code == 303
        assert studio.rows(Pigment) == studio.rows(Constituent) == studio.rows(Bottle) == []

    def test_one_that_is_in_a_work_stays(self, studio: Studio, work: int) -> None:
        page = refused(studio.browser.post("/pigments/1/delete"), "delete")
        assert "record must stay" in page.wrong["delete"]
        assert "Robin, left brow" in page.words
        assert len(studio.rows(Pigment)) == 1
