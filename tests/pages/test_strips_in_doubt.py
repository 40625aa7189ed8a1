"""A printed strip in doubt: said where it is marked, graded at the review, one sentence on the command line."""

import io
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.page_reading import Page
from tests.pages.test_printed_strip import LEFT, OUTLINE, SCALE, TOP, add_strip, brow_beside_strip
from tests.studio import Studio
from webapp.__main__ import main
from webapp.photo.printed_card import STUDIO_ID, draw_card, printed_card
from webapp.records.tables import MeasurementRow

Spoil = Callable[[Image.Image], Image.Image]
FINGER = (205, 150, 125)


def at(x: float, y: float) -> tuple[int, int]:
    """Where a place of the drawn strip lies in the photo."""
    return round(LEFT + x * SCALE), round(TOP + y * SCALE)


def finger_over_a_step(photo: Image.Image) -> Image.Image:
    corners = printed_card(STUDIO_ID).steps[2].corners
    photo.paste(FINGER, (*at(*(corners[0] - (10, 0))), *at(*corners[2])))
    return photo


def torn(photo: Image.Image) -> Image.Image:
    corners = printed_card(STUDIO_ID).codes[1].corners
    photo.paste(FINGER, (*at(*(corners[0] - 20)), *at(*(corners[2] + 20))))
    return photo


def two_cards(photo: Image.Image) -> Image.Image:
    second = draw_card(printed_card("OAK-7")).convert("RGB")
    photo.paste(second.resize((round(second.width * SCALE), round(second.height * SCALE))), (LEFT, 540))
    return photo


def another_card(photo: Image.Image) -> Image.Image:
    other = draw_card(printed_card("OAK-7")).convert("RGB")
    photo.paste(other.resize((round(other.width * SCALE), round(other.height * SCALE))), (LEFT, TOP))
    return photo


def mirrored(photo: Image.Image) -> Image.Image:
    return photo.transpose(Image.Transpose.FLIP_LEFT_RIGHT)


CASES = [
    (finger_over_a_step, "a finger, a shadow or shine lies over them", "retake"),
    (torn, "Only one of the printed card's two codes can be read", "usable"),
    (two_cards, "Two printed cards are in the photo", "usable"),
    (another_card, f"but {STUDIO_ID} is expected here", "retake"),
    (mirrored, "The photo is mirrored", "usable"),
]


def spoilt(spoil: Spoil) -> bytes:
    photo = spoil(Image.open(io.BytesIO(brow_beside_strip())))
    buffer = io.BytesIO()
    photo.save(buffer, "JPEG", quality=95)
    return buffer.getvalue()


def by_hand(spoil: Spoil) -> list[list[float]]:
    """Corners round the six greys, as a hand would mark them."""
    steps = printed_card(STUDIO_ID).steps
    drawn = np.array([steps[0].corners[0], steps[-1].corners[1], steps[-1].corners[2], steps[0].corners[3]])
    corners = drawn * SCALE + (LEFT, TOP)
    if spoil is mirrored:
        corners[:, 0] = 900 - corners[:, 0]
    return [[float(x), float(y)] for x, y in corners]


@pytest.mark.parametrize(("spoil", "words", "grade"), CASES, ids=[c[0].__name__ for c in CASES])
def test_a_strip_in_doubt_is_said_and_never_measured_as_good(
    studio: Studio, work: int, spoil: Spoil, words: str, grade: str
) -> None:
    card = add_strip(studio)
    follow_up = studio.add_photo(work, content=spoilt(spoil), card=card)
    offered = Page(studio.browser.get(f"/follow-ups/{follow_up}/marks"))
    assert words in offered.words
    assert offered.fields["card_corners"] == ""

    marks = {"card": card, "on": "2025-04-01", "note": "", "outline": OUTLINE}
    marks |= {"card_corners": json.dumps(by_hand(spoil))}
    reviewed = studio.browser.post(f"/follow-ups/{follow_up}/marks", data=marks)
    assert reviewed.status_code == 200
    assert words in Page(reviewed).words
    assert studio.browser.post(f"/follow-ups/{follow_up}/marks", data=marks | {"save": "yes"}).status_code == 303
    row = studio.rows(MeasurementRow)[-1]
    assert row.grade in (grade, "retake")
    assert any(words in reason for reason in row.reasons)


@pytest.mark.parametrize(
    ("spoil", "words"), [c[:2] for c in CASES if c[0] is not another_card], ids=lambda c: getattr(c, "__name__", "")
)
def test_the_command_line_says_it_in_one_sentence_and_measures_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], spoil: Spoil, words: str
) -> None:
    (tmp_path / "photo.jpg").write_bytes(spoilt(spoil))
    (tmp_path / "region.json").write_text(json.dumps({"outline": json.loads(OUTLINE)}))
    assert main(["measure", str(tmp_path / "photo.jpg"), "--region", str(tmp_path / "region.json")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert words in said.err


def test_a_sound_strip_marked_by_hand_is_not_doubted(studio: Studio, work: int) -> None:
    card = add_strip(studio)
    follow_up = studio.add_photo(work, content=brow_beside_strip(), card=card)
    marks = {"card": card, "on": "2025-04-01", "note": "", "outline": OUTLINE, "save": "yes"}
    marks |= {"card_corners": json.dumps(by_hand(brow_beside_strip))}
    assert studio.browser.post(f"/follow-ups/{follow_up}/marks", data=marks).status_code == 303
    reasons = " ".join(studio.rows(MeasurementRow)[-1].reasons)
    assert not any(words in reasons for _, words, _ in CASES)


@pytest.mark.parametrize(
    ("registered", "words"),
    [(True, "It is registered as “Oak strip”: choose that card"), (False, "No card is registered under OAK-7")],
)
def test_a_strip_of_another_registration_is_told_whose_it_is(
    studio: Studio, work: int, registered: bool, words: str
) -> None:
    card = add_strip(studio)
    if registered:
        studio.browser.post("/cards", data={"name": "Oak strip", "kind": "printed strip", "printed_id": "OAK-7"})
    photo = another_card(Image.open(io.BytesIO(brow_beside_strip())))
    buffer = io.BytesIO()
    photo.save(buffer, "PNG")
    follow_up = studio.add_photo(work, content=buffer.getvalue(), card=card)
    assert words in Page(studio.browser.get(f"/follow-ups/{follow_up}/marks")).words
