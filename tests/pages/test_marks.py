import json
from datetime import date
from typing import Any

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page, refused
from tests.studio import MARKS, Studio
from tests.synthetic import BROW, CARD_BOX, Look, draw_photo
from webapp.records.tables import FollowUp, MeasurementRow

BOW_TIE = [[150, 260], [530, 320], [150, 320], [530, 260]]
ON_SKIN = [[300, 120], [420, 120], [420, 200], [300, 200]]
OVER_THE_EDGE = [[-40, 40], [200, 40], [200, 120], [-40, 120]]


def post(studio: Studio, follow_up: int, **entries: Any):
    sent = {k: v if isinstance(v, str) else json.dumps(v) for k, v in entries.items()}
    return studio.browser.post(f"/follow-ups/{follow_up}/marks", data=MARKS | sent)


def stored(studio: Studio) -> FollowUp:
    return studio.rows(FollowUp)[-1]


def test_the_photo_is_offered_for_marking(studio: Studio, follow_up: int) -> None:
    page = studio.browser.get(f"/follow-ups/{follow_up}/marks")
    assert 'src="/photos/1/whole.jpg"' in page.text
    assert 'data-width="600" data-height="450"' in page.text
    assert Page(page).fields == MARKS | {"card_corners": "", "outline": "", "outline_from": ""}


def test_the_review_shows_what_was_measured_and_saves_nothing_yet(studio: Studio, follow_up: int) -> None:
    answer = post(studio, follow_up)
    assert answer.status_code == 200
    page = Page(answer)
    assert "not saved yet" in page.words
    assert "this photo can be trusted" in page.words
    assert page.fields == MARKS
    for name in ("original.jpg", "balanced.jpg", "counted.png"):
        address = answer.text.split(f'/{name}"')[0].rpartition('"')[2] + f"/{name}"
        assert studio.browser.get(address).headers["content-type"].startswith("image/")
    assert studio.rows(MeasurementRow) == []


def test_saving_leads_to_the_work_with_the_photo_on_it(studio: Studio, follow_up: int) -> None:
    answer = post(studio, follow_up, save="yes")
    assert answer.headers["location"] == "/works/1#photo-1"
    row = studio.rows(MeasurementRow)[0]
    assert row.grade == "good"
    assert row.pigment_lab[0] < row.skin_lab[0]
    assert 'id="photo-1"' in studio.browser.get("/works/1").text


def test_both_colours_are_kept_and_shown_and_the_page_says_which_one_charts_use(studio: Studio, follow_up: int) -> None:
    reviewed = Page(post(studio, follow_up)).words
    post(studio, follow_up, save="yes")
    saved = Page(studio.browser.get(f"/follow-ups/{follow_up}")).words
    row = studio.rows(MeasurementRow)[0]
    assert row.pigment_lab[0] < row.outline_lab[0] < row.skin_lab[0]
    for words in (reviewed, saved):
        assert "Charts use the pigment alone" in words
        assert f"Over the whole outline, that skin counted too, the work is L* {row.outline_lab[0]:.1f}" in words
        assert "how dense it looks from a distance" in words


def test_a_measurement_from_before_the_second_colour_is_shown_without_it(studio: Studio, follow_up: int) -> None:
    post(studio, follow_up, save="yes")
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        row = rows.get(MeasurementRow, 1)
        row.outline_lab = row.outline_spread = row.outline_shared = None
        rows.add(row)
        rows.commit()
    page = studio.browser.get(f"/follow-ups/{follow_up}")
    assert page.status_code == 200
    assert "Charts use the pigment alone" not in Page(page).words


def test_back_from_the_review_keeps_marks_and_entries(studio: Studio, follow_up: int) -> None:
    answer = post(studio, follow_up, back="yes", note="changed my mind")
    assert answer.status_code == 200
    assert Page(answer).fields == MARKS | {"note": "changed my mind"}


def test_closing_the_browser_at_the_review_loses_nothing(studio: Studio, follow_up: int) -> None:
    post(studio, follow_up, note="seen by the window", on="2025-04-02")
    page = Page(studio.browser.get(f"/follow-ups/{follow_up}/marks"))
    assert json.loads(page.fields["card_corners"]) == CARD_BOX
    assert json.loads(page.fields["outline"]) == BROW
    assert (page.fields["note"], page.fields["on"]) == ("seen by the window", "2025-04-02")
    assert "not yet measured" in Page(studio.browser.get("/")).words
    assert studio.browser.get(f"/follow-ups/{follow_up}").headers["location"] == f"/follow-ups/{follow_up}/marks"


def test_closing_the_browser_before_marking_keeps_the_photo_in_sight(studio: Studio, follow_up: int) -> None:
    for address in ("/", "/works/1"):
        assert f"/follow-ups/{follow_up}/marks" in studio.browser.get(address).text


@pytest.mark.parametrize(
    ("field", "marks", "sentence"),
    [
        ("outline", "", "Nothing is marked yet"),
        ("card_corners", "", "Nothing is marked yet"),
        ("outline", BOW_TIE, "crosses itself"),
        ("outline", BROW[:2], "2 points"),
        ("outline", BROW[:1], "1 point "),
        ("outline", [[9, 9]] * 5, "encloses nothing"),
        ("outline", [[590, 440], [640, 440], [640, 460]], "over the edge"),
        ("card_corners", OVER_THE_EDGE, "over the edge"),
        ("card_corners", [CARD_BOX[0], CARD_BOX[2], CARD_BOX[1], CARD_BOX[3]], "crosses itself"),
        ("card_corners", [[40, 40], [44, 40], [44, 44], [40, 44]], "too small"),
        ("card_corners", CARD_BOX[:3], "Mark the card's grey again"),
        ("card_corners", [*CARD_BOX, [41, 80]], "Mark the card's grey again"),
    ],
)
def test_a_mark_that_does_not_serve_is_named_and_both_marks_are_kept(
    studio: Studio, follow_up: int, field: str, marks: Any, sentence: str
) -> None:
    sent = MARKS | {field: marks if isinstance(marks, str) else json.dumps(marks)}
    page = refused(studio.browser.post(f"/follow-ups/{follow_up}/marks", data=sent), field)
    assert sentence in page.wrong[field]
    assert page.fields == sent
    assert studio.rows(MeasurementRow) == []


DEEP = "[" * 100_000 + "]" * 100_000
JUNK = [
    "NaN",
    "[[NaN, 1], [2, 3], [4, 5], [1, 1]]",
    "[[Infinity, 1], [2, 3], [4, 5], [1, 1]]",
    "[[1e308, 1e308], [-1e308, 3], [4, 5], [1, 1e308]]",
    "[[1e999, 1], [2, 3], [4, 5], [1, 1]]",
    f"[[{'9' * 400}, 1], [2, 3], [4, 5], [1, 1]]",
    f"[[{'9' * 5000}, 1], [2, 3], [4, 5], [1, 1]]",
    '["ab", "cd", "ef", "gh"]',
    '{"outline": [[1, 2]]}',
    "[[1, 2, 3], [4, 5, 6]]",
    "[[[1, 2], [3, 4]], [[5, 6], [7, 8]]]",
    "[[null, null], [1, 2], [3, 4], [5, 6]]",
    "[]",
    "7",
    "null",
    "outline",
    '"',
    "\x00",
    "<script>alert(1)</script>",
    DEEP,
    json.dumps([[i % 600, i % 450] for i in range(100_000)]),
]


@pytest.mark.parametrize("field", ["outline", "card_corners"])
def test_junk_in_place_of_marks_is_refused(studio: Studio, follow_up: int, field: str) -> None:
    for junk in JUNK:
        page = refused(post(studio, follow_up, **{field: junk}), field)
        assert page.wrong[field].startswith("The marks were not understood. Mark "), junk[:40]


def test_junk_does_not_take_the_place_of_marks_already_kept(studio: Studio, follow_up: int) -> None:
    post(studio, follow_up)
    post(studio, follow_up, outline="junk", card_corners="")
    assert stored(studio).outline == BROW
    assert stored(studio).card_patches == [CARD_BOX]


def test_a_card_box_on_skin_is_graded_with_the_reason_and_what_to_do(studio: Studio, follow_up: int) -> None:
    page = Page(post(studio, follow_up, card_corners=ON_SKIN))
    assert "this photo should be taken again" in page.words
    assert "Check that the box lies on the card's grey" in page.words


@pytest.mark.parametrize(
    ("field", "entry", "sentence"),
    [
        ("on", "2999-01-01", "in the future"),
        ("on", "2024-12-31", "before the work's first session"),
        ("on", "", "year-month-day"),
        ("card", "77", "Choose one"),
        ("note", "n" * 2001, "at most 2000"),
    ],
)
def test_a_wrong_entry_beside_the_marks_is_named_and_the_marks_are_kept(
    studio: Studio, follow_up: int, field: str, entry: str, sentence: str
) -> None:
    page = refused(post(studio, follow_up, **{field: entry}), field)
    assert sentence in page.wrong[field]
    assert (page.fields["card_corners"], page.fields["outline"]) == (MARKS["card_corners"], MARKS["outline"])
    assert stored(studio).outline == BROW
    assert stored(studio).on_date == date(2025, 4, 1)


class TestStrip:
    """A card of five steps, marked by one box."""

    @pytest.fixture
    def strip(self, studio: Studio) -> str:
        patches = "94 0 0\n78 0 0\n62 0 0\n48 0 0\n35 0 0"
        sent = {"name": "Strip", "kind": "step card", "patches": patches, "values_from": "maker"}
        studio.browser.post("/cards", data=sent)
        return "2"

    def test_all_its_steps_are_used(self, studio: Studio, work: int, strip: str) -> None:
        photo = studio.add_photo(work, content=draw_photo(steps=5), card=strip)
        studio.measure(photo, card=strip)
        row = studio.rows(MeasurementRow)[0]
        assert (row.patches, row.grade) == (5, "good")
        assert row.residual < 0.5

    @pytest.mark.parametrize("turn", [0, 2])
    def test_marking_again_starts_from_the_whole_box_whichever_way_it_lay(
        self, studio: Studio, work: int, strip: str, turn: int
    ) -> None:
        photo = studio.add_photo(work, content=draw_photo(steps=5), card=strip)
        box = CARD_BOX[turn:] + CARD_BOX[:turn]
        studio.measure(photo, card=strip, card_corners=json.dumps(box))
        assert studio.rows(MeasurementRow)[0].residual < 0.5
        again = Page(studio.browser.get(f"/follow-ups/{photo}/marks"))
        assert sorted(json.loads(again.fields["card_corners"])) == sorted(CARD_BOX)

    def test_a_plain_card_taken_for_a_strip_is_graded_and_not_trusted(
        self, studio: Studio, follow_up: int, strip: str
    ) -> None:
        page = Page(post(studio, follow_up, card=strip))
        assert "this photo should be taken again" in page.words

    @pytest.mark.parametrize("corners", [CARD_BOX[:3], CARD_BOX[:1], [*CARD_BOX, [41, 80]], []])
    def test_a_box_without_four_corners_is_refused(
        self, studio: Studio, follow_up: int, strip: str, corners: list
    ) -> None:
        refused(post(studio, follow_up, card=strip, card_corners=corners), "card_corners")


class TestMeasured:
    def test_its_page_shows_the_colours(self, studio: Studio, measured: int) -> None:
        page = Page(studio.browser.get(f"/follow-ups/{measured}"))
        assert "Pigmented skin L*" in page.words
        assert "Bare skin L*" in page.words
        assert "18 % grey card, 1 patch" in page.words

    def test_other_marks_change_nothing_until_they_are_saved(self, studio: Studio, measured: int) -> None:
        before = stored(studio)
        moved = [[x + 2, y] for x, y in BROW]
        assert post(studio, measured, outline=moved, note="other").status_code == 200
        assert (stored(studio).outline, stored(studio).note) == (before.outline, "")
        post(studio, measured, outline=moved, note="other", save="yes")
        assert (stored(studio).outline, stored(studio).note) == (moved, "other")
        assert len(studio.rows(MeasurementRow)) == 1
        assert len(studio.pictures()) == 3

    def test_saving_the_same_from_two_windows_keeps_one(self, studio: Studio, measured: int) -> None:
        assert post(studio, measured, save="yes").status_code == 303
        assert len(studio.rows(MeasurementRow)) == 1

    def test_the_next_photo_of_the_work_is_offered_its_outline(self, studio: Studio, measured: int) -> None:
        other = studio.add_photo(1, "2025-06-01", draw_photo(seed=2))
        answer = studio.browser.get(f"/follow-ups/{other}/marks")
        assert 'data-outline-offered="yes"' in answer.text
        assert json.loads(Page(answer).fields["outline"]) == BROW

    def test_its_pictures_are_made_again_where_they_were_deleted(self, studio: Studio, measured: int) -> None:
        for picture in studio.pictures():
            picture.unlink()
        assert studio.browser.get(f"/follow-ups/{measured}/balanced.jpg").status_code == 200

    def test_no_copy_of_a_picture_stays_in_the_browser(self, studio: Studio, measured: int) -> None:
        for address in (f"/follow-ups/{measured}/balanced.jpg", "/photos/1/whole.jpg"):
            assert studio.browser.get(address).headers["cache-control"] == "no-store"

    @pytest.mark.parametrize("damage", ["missing", "broken off", "a folder"])
    def test_a_damaged_file_is_said_and_how_to_go_on(self, studio: Studio, measured: int, damage: str) -> None:
        file = studio.photo_files()[0]
        content = file.read_bytes()
        file.unlink()
        if damage == "broken off":
            file.write_bytes(content[:999])
        elif damage == "a folder":
            file.mkdir()
        for picture in studio.pictures():
            picture.unlink()
        for answer in (
            post(studio, measured),
            *map(studio.browser.get, ("/photos/1/whole.jpg", "/follow-ups/1/balanced.jpg")),
        ):
            assert answer.status_code == 410
            assert "missing from the data folder or damaged" in Page(answer).words
        assert studio.browser.get("/works/1").status_code == 200


class TestTakingIn:
    @pytest.fixture
    def retake(self, studio: Studio, follow_up: int) -> int:
        post(studio, follow_up, card_corners=ON_SKIN, save="yes")
        return follow_up

    def test_a_retake_stays_out_of_the_trend_until_it_is_taken_in(self, studio: Studio, retake: int) -> None:
        assert "retake , not in the trend" in Page(studio.browser.get("/works/1")).words.replace("retake,", "retake ,")
        studio.browser.post(f"/follow-ups/{retake}/take-in", data={"because": "the box is right"})
        assert "because: the box is right" in Page(studio.browser.get(f"/follow-ups/{retake}")).words
        assert "taken in" in Page(studio.browser.get("/works/1")).words
        studio.browser.post(f"/follow-ups/{retake}/take-in", data={"leave_out": "yes"})
        assert stored(studio).taken_in_because == ""

    @pytest.mark.parametrize("because", ["", "   ", "x" * 2001])
    def test_a_reason_is_needed(self, studio: Studio, retake: int, because: str) -> None:
        page = refused(studio.browser.post(f"/follow-ups/{retake}/take-in", data={"because": because}), "because")
        assert page.fields["because"] == because
        assert stored(studio).taken_in_because == ""

    def test_a_photo_without_a_measurement_cannot_be_taken_in(self, studio: Studio, follow_up: int) -> None:
        assert studio.browser.post(f"/follow-ups/{follow_up}/take-in", data={"because": "x"}).status_code == 404


class TestDeleting:
    def test_photo_measurement_and_pictures_go(self, studio: Studio, measured: int) -> None:
        answer = studio.browser.post(f"/follow-ups/{measured}/delete")
        assert answer.headers["location"] == "/works/1"
        assert studio.photo_files() == studio.pictures() == studio.rows(MeasurementRow) == []

    def test_a_photo_that_another_work_shows_stays(self, studio: Studio, measured: int) -> None:
        other = studio.add_work(1, "right brow")
        studio.add_session(other)
        second = studio.add_photo(other)
        studio.measure(second)
        studio.browser.post(f"/follow-ups/{measured}/delete")
        assert len(studio.photo_files()) == 1
        assert len(studio.pictures()) == 3
        assert studio.browser.get(f"/follow-ups/{second}").status_code == 200

    def test_deleting_twice_says_that_it_is_gone(self, studio: Studio, measured: int) -> None:
        studio.browser.post(f"/follow-ups/{measured}/delete")
        again = studio.browser.post(f"/follow-ups/{measured}/delete")
        assert again.status_code == 404
        assert "may have been deleted" in Page(again).words

    def test_a_stale_review_of_it_says_that_it_is_gone(self, studio: Studio, measured: int) -> None:
        studio.browser.post(f"/follow-ups/{measured}/delete")
        assert post(studio, measured, save="yes").status_code == 404


def test_a_dark_photo_is_measured_and_graded_not_refused(studio: Studio, work: int) -> None:
    photo = studio.add_photo(work, content=draw_photo(Look(light=(0.2, 0.2, 0.2))))
    page = Page(post(studio, photo))
    assert "almost black" in page.words


def test_a_black_photo_gives_a_sentence(studio: Studio, work: int) -> None:
    photo = studio.add_photo(work, content=draw_photo(Look(light=(0.0, 0.0, 0.0))))
    answer = post(studio, photo)
    assert answer.status_code in (200, 422)
    assert Page(answer).words


class TestDrafts:
    def test_marks_are_kept_as_they_are_made(self, studio: Studio, follow_up: int) -> None:
        sent = studio.browser.post(f"/follow-ups/{follow_up}/draft", data=MARKS)
        assert sent.status_code == 204
        stored = next(f for f in studio.rows(FollowUp) if f.id == follow_up)
        assert stored.outline == json.loads(MARKS["outline"])
        assert stored.card_patches == [json.loads(MARKS["card_corners"])]

    def test_one_mark_alone_leaves_the_other(self, studio: Studio, follow_up: int) -> None:
        studio.browser.post(f"/follow-ups/{follow_up}/draft", data=MARKS)
        studio.browser.post(f"/follow-ups/{follow_up}/draft", data=MARKS | {"outline": "", "card_corners": "junk"})
        stored = next(f for f in studio.rows(FollowUp) if f.id == follow_up)
        assert stored.outline == json.loads(MARKS["outline"])
        assert stored.card_patches == [json.loads(MARKS["card_corners"])]

    def test_a_measured_follow_up_keeps_the_marks_it_was_measured_by(self, studio: Studio, measured: int) -> None:
        before = next(f for f in studio.rows(FollowUp) if f.id == measured).outline
        sent = studio.browser.post(f"/follow-ups/{measured}/draft", data=MARKS | {"outline": "[[1,1],[9,1],[9,9]]"})
        assert sent.status_code == 204
        assert next(f for f in studio.rows(FollowUp) if f.id == measured).outline == before
