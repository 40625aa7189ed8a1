"""What a photo without marks starts from, and what is kept of where an outline came from."""

import io
import json
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.page_reading import Page
from tests.studio import Studio
from tests.synthetic import BROW, CARD_BOX, Look, draw_photo
from webapp.records.tables import FollowUp


def stored(studio: Studio) -> FollowUp:
    return studio.rows(FollowUp)[-1]


class TestOfferedOutlines:
    """What a photo without marks starts from, and what is kept of where an outline came from."""

    def asked(self, studio: Studio, follow_up: int, corners: Any = CARD_BOX) -> Any:
        return studio.browser.post(
            f"/follow-ups/{follow_up}/proposal",
            data={"card_corners": corners if isinstance(corners, str) else json.dumps(corners)},
        )

    def test_a_first_photo_is_proposed_one_once_its_card_is_marked(self, studio: Studio, follow_up: int) -> None:
        assert 'data-outline-offered="no"' in studio.browser.get(f"/follow-ups/{follow_up}/marks").text
        told = self.asked(studio, follow_up).json()
        assert told["source"] == "proposed"
        assert told["says"].startswith("Proposed from this photo alone.")
        assert 0 < told["confidence"] <= 1
        inside = [90 < x < 590 and 210 < y < 370 for x, y in told["outline"]]
        assert all(inside)
        assert stored(studio).outline == []

    @pytest.mark.parametrize("corners", ["", "junk", "[[1,1],[2,2]]", "[[NaN,1],[2,3],[4,5],[1,1]]"])
    def test_without_a_marked_card_nothing_is_proposed(self, studio: Studio, follow_up: int, corners: str) -> None:
        assert self.asked(studio, follow_up, corners).status_code == 204

    def test_bare_skin_is_proposed_nothing(self, studio: Studio, work: int) -> None:
        plain = studio.add_photo(work, content=draw_photo(Look(brow=(205, 162, 138))))
        assert self.asked(studio, plain).status_code == 204

    def test_a_lost_photo_is_proposed_nothing(self, studio: Studio, follow_up: int) -> None:
        studio.photo_files()[0].unlink()
        assert self.asked(studio, follow_up).status_code == 204

    def test_an_offer_that_is_not_sure_says_so(self, studio: Studio, measured: int) -> None:
        other = studio.add_photo(1, "2025-06-01", draw_photo(seed=2))
        answer = studio.browser.get(f"/follow-ups/{other}/marks")
        assert "lies as in the photo of 1 Apr 2025; the two photos could not be matched" in answer.text

    def test_a_carried_outline_says_from_when_and_how_sure(self, studio: Studio, work: int) -> None:
        first = studio.add_photo(work, content=freckled(0))
        studio.measure(first)
        second = studio.add_photo(work, "2025-06-01", freckled(12))
        answer = studio.browser.get(f"/follow-ups/{second}/marks")
        assert "Carried over from 1 Apr 2025; likely within" in answer.text
        fields = Page(answer).fields
        assert fields["outline_from"] == "carried over"
        assert 0.9 < float(fields["outline_confidence"]) < 1
        moved = np.array(json.loads(fields["outline"])) - np.array(BROW)
        assert np.abs(moved - (12, 0)).max() < 4
        again = Page(studio.browser.get(f"/follow-ups/{second}/marks")).fields
        assert again == fields  # kept, and the same
        sent = {k: fields[k] for k in ("outline", "outline_from", "outline_confidence")}
        studio.measure(second, **sent, on="2025-06-01")
        kept = stored(studio)
        assert (kept.outline_from, kept.outline_confidence) == ("carried over", float(fields["outline_confidence"]))
        assert not [p for p in studio.pictures() if "offer" in p.name]

    @pytest.mark.parametrize(
        ("source", "confidence", "kept"),
        [
            ("proposed", "0.7", ("proposed", 0.7)),
            ("drawn", "0.7", ("drawn", None)),
            ("", "", ("drawn", None)),
            ("made up", "7", ("drawn", None)),
            ("proposed", "nan", ("proposed", None)),
            ("carried over", "junk", ("carried over", None)),
        ],
    )
    def test_where_an_outline_came_from_is_kept_with_it(
        self, studio: Studio, follow_up: int, source: str, confidence: str, kept: tuple[str, float | None]
    ) -> None:
        studio.measure(follow_up, outline_from=source, outline_confidence=confidence)
        assert (stored(studio).outline_from, stored(studio).outline_confidence) == kept


def freckled(shift: int) -> bytes:
    """The drawn photo with marks on the skin, all of it but the card moved to the right."""
    rng = np.random.default_rng(9)
    pixels = np.asarray(Image.open(io.BytesIO(draw_photo()))).astype(float)
    rows, columns = np.mgrid[: pixels.shape[0], : pixels.shape[1]]
    for _ in range(200):
        x, y, r = rng.uniform(20, 580), rng.uniform(150, 440), rng.uniform(2, 6)
        pixels *= 1 - rng.uniform(0.08, 0.25) * np.exp(-(((columns - x) ** 2 + (rows - y) ** 2) / r**2))[..., None]
    pixels[140:] = np.roll(pixels[140:], shift, axis=1)
    buffer = io.BytesIO()
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).save(buffer, "JPEG", quality=95)
    return buffer.getvalue()
