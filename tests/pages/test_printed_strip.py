import html
import io
import json
import re

import numpy as np
from PIL import Image

from tests.page_reading import Page
from tests.studio import Studio
from webapp.photo.printed_card import STUDIO_ID, draw_card, printed_card
from webapp.records.tables import Card, MeasurementRow

LEFT, TOP, SCALE = 40, 30, 0.6


def brow_beside_strip() -> bytes:
    """A plain brow with the printed strip above it, laid straight, seen as drawn but smaller."""
    rows, columns = np.mgrid[:700, :900]
    pixels = np.full((700, 900, 3), (196, 152, 126), float)
    pixels += np.random.default_rng(3).normal(0, 2, pixels.shape)
    work = ((columns - 450) / 260) ** 2 + ((rows - 450) / 55) ** 2 < 1
    pixels[work] = pixels[work] * (0.55, 0.55, 0.56)
    photo = Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))
    strip = draw_card(printed_card(STUDIO_ID)).convert("RGB")
    photo.paste(strip.resize((round(strip.width * SCALE), round(strip.height * SCALE))), (LEFT, TOP))
    buffer = io.BytesIO()
    photo.save(buffer, "JPEG", quality=95)
    return buffer.getvalue()


OUTLINE = json.dumps([[450 + 262 * np.cos(a), 450 + 57 * np.sin(a)] for a in np.linspace(0, 2 * np.pi, 24)[:-1]])


def add_strip(studio: Studio) -> str:
    assert studio.browser.post("/cards/print").status_code == 303
    return str(next(card.id for card in studio.rows(Card) if len(card.patches) == 6))


def corners_on(page: str) -> list[list[float]]:
    found = re.search(r'name="card_corners" value="([^"]*)"', page)
    assert found is not None
    return json.loads(html.unescape(found[1]) or "[]")


def test_the_strip_is_put_among_the_cards_once(studio: Studio) -> None:
    add_strip(studio)
    add_strip(studio)
    assert len(studio.rows(Card)) == 2


def test_a_photo_with_the_strip_needs_no_mark_on_the_card(studio: Studio, work: int) -> None:
    card = add_strip(studio)
    follow_up = studio.add_photo(work, content=brow_beside_strip(), card=card)
    corners = np.array(corners_on(studio.browser.get(f"/follow-ups/{follow_up}/marks").text))
    steps = printed_card(STUDIO_ID).steps
    drawn = np.array([steps[0].corners[0], steps[-1].corners[1], steps[-1].corners[2], steps[0].corners[3]])
    assert np.abs(corners - (drawn * SCALE + (LEFT, TOP))).max() < 12  # the found steps are drawn in by 1.2 mm
    marks = {"card": card, "on": "2025-04-01", "note": "", "outline": OUTLINE, "save": "yes"}
    sent = studio.browser.post(
        f"/follow-ups/{follow_up}/marks", data=marks | {"card_corners": json.dumps(corners.tolist())}
    )
    assert sent.status_code == 303
    row = studio.rows(MeasurementRow)[-1]
    assert row.patches >= 5
    assert row.residual < 2


def test_a_photo_without_the_strip_says_so_and_can_be_marked(studio: Studio, work: int) -> None:
    follow_up = studio.add_photo(work, card=add_strip(studio))
    answer = studio.browser.get(f"/follow-ups/{follow_up}/marks")
    assert corners_on(answer.text) == []
    assert "printed strip was not found in this photo" in Page(answer).words
