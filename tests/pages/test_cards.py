import numpy as np
import pytest

from tests.page_reading import Page, refused
from tests.studio import MARKS, Studio
from tests.synthetic import STRIP_LAB, draw_photo
from webapp.photo.printed_card import printed_card
from webapp.records.tables import Card, MeasurementRow

STRIP = {
    "name": "Strip",
    "kind": "step card",
    "printed_id": "",
    "patches": "94 0 0\r\n78,5 0 −0,5\r\n62; 0; 0\r\n48, 0, 0\r\n35 0 0\r\n\r\n",
    "values_from": "maker",
    "sd": "",
    "note": "",
}
GREY = STRIP | {"name": "Grey", "kind": "grey card", "patches": "", "values_from": ""}
PRINT = GREY | {"name": "Print", "kind": "printed strip", "printed_id": "oak-7"}
NOT_TRUSTED = "Absolute colour is not to be trusted"


def test_a_studio_starts_with_the_plain_grey_card(studio: Studio) -> None:
    assert [(c.name, c.kind, c.patches, c.values_known) for c in studio.rows(Card)] == [
        ("18 % grey card", "grey card", [[49.5, 0, 0]], False)
    ]


def test_a_strip_of_five_steps_is_added(studio: Studio) -> None:
    assert studio.browser.post("/cards", data=STRIP).status_code == 303
    strip = studio.rows(Card)[1]
    assert strip.patches == [[94, 0, 0], [78.5, 0, -0.5], [62, 0, 0], [48, 0, 0], [35, 0, 0]]
    assert (strip.values_known, strip.values_from, strip.patch_sd) == (True, "maker", None)


@pytest.mark.parametrize(("typed", "kept"), [("0,4", [0.4, 0.4, 0.4]), ("0.5 0.2 0.3", [0.5, 0.2, 0.3])])
def test_its_standard_deviation_may_be_typed_along(studio: Studio, typed: str, kept: list[float]) -> None:
    sent = GREY | {"patches": "50 0 0", "values_from": "instrument", "sd": typed}
    assert studio.browser.post("/cards", data=sent).status_code == 303
    assert studio.rows(Card)[1].patch_sd == [kept]
    assert f"± {kept[0]}, {kept[1]}, {kept[2]}" in Page(studio.browser.get("/cards")).words


def test_a_printed_strip_has_the_id_of_its_codes_and_is_for_drift_only(studio: Studio) -> None:
    studio.browser.post("/cards", data=GREY | {"patches": "50 0 0", "values_from": "maker"})
    assert Page(studio.browser.get("/cards")).words.count(NOT_TRUSTED) == 1  # the card that every studio starts with
    assert studio.browser.post("/cards", data=PRINT).status_code == 303
    print_ = studio.rows(Card)[-1]
    assert (print_.printed_id, print_.values_known) == ("OAK-7", False)
    assert np.allclose(print_.patches, [s.lab for s in printed_card("OAK-7").steps])
    assert Page(studio.browser.get("/cards")).words.count(NOT_TRUSTED) == 2


@pytest.mark.parametrize(
    "patches",
    [
        "49.5 0",
        "49.5 0 0 0",
        "grey",
        "nan 0 0",
        "inf 0 0",
        "0 0 0",
        "101 0 0",
        "50 40 0",
        "50 0 -1e308",
        "50\n0\n0",
        "\n".join(["50 0 0"] * 13),
        "50 0 0",
        "",
    ],
)
def test_values_that_are_no_greys_of_a_step_card_are_refused_and_kept(studio: Studio, patches: str) -> None:
    sent = STRIP | {"patches": patches, "note": "from the maker"}
    page = refused(studio.browser.post("/cards", data=sent), "patches")
    assert page.fields == sent
    assert len(studio.rows(Card)) == 1


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        (GREY | {"name": ""}, "name"),
        (GREY | {"name": "18 % GREY CARD"}, "name"),
        (GREY | {"kind": "rainbow"}, "kind"),
        (GREY | {"kind": ""}, "kind"),
        (GREY | {"patches": "50 0 0\n40 0 0", "values_from": "maker"}, "patches"),
        (PRINT | {"patches": "50 0 0", "values_from": "maker"}, "patches"),
        (PRINT | {"printed_id": ""}, "printed_id"),
        (PRINT | {"printed_id": "an oak"}, "printed_id"),
        (GREY | {"patches": "50 0 0"}, "values_from"),
        (GREY | {"patches": "50 0 0", "values_from": "hearsay"}, "values_from"),
        (GREY | {"sd": "0.5"}, "sd"),
        *(
            (GREY | {"patches": "50 0 0", "values_from": "maker", "sd": sd}, "sd")
            for sd in ("0", "-1", "x", "1 2", "nan", "11")
        ),
    ],
)
def test_every_other_entry_that_does_not_serve_is_named(studio: Studio, sent: dict[str, str], field: str) -> None:
    page = refused(studio.browser.post("/cards", data=sent), field)
    assert page.fields["name"] == sent["name"]
    assert page.fields["patches"] == sent["patches"]
    assert len(studio.rows(Card)) == 1


def measure_with(studio: Studio, follow_up: int, card: int) -> MeasurementRow:
    marks = MARKS | {"card": str(card), "save": "yes"}
    assert studio.browser.post(f"/follow-ups/{follow_up}/marks", data=marks).status_code == 303
    return studio.rows(MeasurementRow)[-1]


def test_the_cards_own_deviation_widens_what_is_measured_with_it_and_nothing_else(
    studio: Studio, follow_up: int
) -> None:
    for name, sd in (("Exact", ""), ("Doubtful", "2 1 1")):
        sent = GREY | {"name": name, "patches": "49.5 0 0", "values_from": "maker", "sd": sd}
        assert studio.browser.post("/cards", data=sent).status_code == 303
    exact, doubtful = measure_with(studio, follow_up, 2), measure_with(studio, follow_up, 3)
    assert exact.pigment_lab == doubtful.pigment_lab
    assert exact.pigment_spread == doubtful.pigment_spread
    wider = np.array(doubtful.pigment_shared) - np.array(exact.pigment_shared)
    # A gain that is wrong moves a darker colour's L* by less: (L* + 16) / (49.5 + 16) of the card's own 2.
    expected = 2 * (exact.pigment_lab[0] + 16) / 65.5
    assert np.sqrt(wider[0, 0]) == pytest.approx(expected, rel=0.05)
    assert np.all(np.diag(wider) > 0.2)


def test_a_result_on_assumed_values_says_what_it_is_good_for(studio: Studio, measured: int) -> None:
    assert NOT_TRUSTED in Page(studio.browser.get(f"/follow-ups/{measured}")).words
    sent = GREY | {"patches": "49.5 0 0", "values_from": "maker"}
    studio.browser.post("/cards", data=sent)
    measure_with(studio, measured, 2)
    assert NOT_TRUSTED not in Page(studio.browser.get(f"/follow-ups/{measured}")).words


def test_the_strip_of_a_drawn_photo_is_measured_with_its_steps(studio: Studio, work: int) -> None:
    lines = "\n".join(" ".join(map(str, lab)) for lab in STRIP_LAB)
    studio.browser.post("/cards", data=STRIP | {"patches": lines, "sd": "0.5"})
    follow_up = studio.add_photo(work, content=draw_photo(steps=5), card="2")
    row = measure_with(studio, follow_up, 2)
    assert row.patches == 5
