import io
import json
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from webapp.__main__ import main
from webapp.photo.print_sheet import PAPERS_MM, Paper, cards_on, draw_sheet
from webapp.photo.printed_card import (
    DPI,
    HEIGHT,
    LIGHTNESS,
    MM_PER_PIXEL,
    WIDTH,
    CardIdUnusable,
    draw_card,
    printed_card,
    random_id,
    read_code_text,
)


class TestGeometry:
    def test_it_is_85_by_25_mm(self) -> None:
        assert pytest.approx((85, 25), abs=0.1) == (WIDTH * MM_PER_PIXEL, HEIGHT * MM_PER_PIXEL)

    def test_its_six_steps_get_darker_evenly_and_are_neutral(self) -> None:
        lab = np.array([step.lab for step in printed_card("x").steps])
        assert lab[:, 0] == pytest.approx(LIGHTNESS, abs=0.25)
        assert np.abs(lab[:, 1:]).max() == 0

    def test_nothing_overlaps_and_all_lies_on_the_card(self) -> None:
        card = printed_card("x")
        boxes = [part.corners for part in (*card.steps, *card.codes)]
        for i, one in enumerate(boxes):
            assert one.min() >= 0
            assert (one <= (WIDTH, HEIGHT)).all()
            for other in boxes[:i]:
                apart = np.maximum(one[0] - other[2], other[0] - one[2])
                assert apart.max() >= 0

    @pytest.mark.parametrize("card_id", ["STRIP1", "almanac-strip-1", "A", "0123456789ABCDEF"])
    def test_any_id_names_both_ends(self, card_id: str) -> None:
        card = printed_card(card_id)
        assert [read_code_text(c.text) for c in card.codes] == [("A", card_id.upper()), ("B", card_id.upper())]

    @pytest.mark.parametrize("card_id", ["", " ", "Ä", "a b", "0123456789ABCDEFG", "a\n"])
    def test_an_id_that_cannot_be_written_is_refused(self, card_id: str) -> None:
        with pytest.raises(CardIdUnusable, match="1 to 16 letters"):
            printed_card(card_id)

    @pytest.mark.parametrize("text", ["", "HCA", "HCAC1", "hcaaX", "HCAAX ", "https://example.org", "XHCAAX"])
    def test_other_codes_are_not_ours(self, text: str) -> None:
        assert read_code_text(text) is None

    def test_random_ids_are_usable_and_differ(self) -> None:
        ids = {printed_card(random_id()).id for _ in range(20)}
        assert len(ids) == 20


class TestDrawing:
    @pytest.mark.parametrize("card_id", ["STRIP1", "0123456789ABCDEF"])
    def test_its_codes_are_read_where_they_should_lie(self, card_id: str) -> None:
        card = printed_card(card_id)
        read = {code.text: code.position for code in zxingcpp.read_barcodes(draw_card(card))}
        assert set(read) == {code.text for code in card.codes}
        for code in card.codes:
            p = read[code.text]
            assert (p.top_left.x, p.top_left.y) == pytest.approx(code.corners[0], abs=2)
            assert (p.bottom_right.x, p.bottom_right.y) == pytest.approx(code.corners[2], abs=2)

    def test_the_steps_carry_their_grey_to_the_edge(self) -> None:
        card = printed_card("STRIP1")
        drawn = np.asarray(draw_card(card))
        for step in card.steps:
            (left, top), (right, bottom) = step.corners[[0, 2]].astype(int)
            assert (drawn[top:bottom, left:right] == step.code).all()

    def test_the_bar_is_40_mm_and_the_scale_80(self) -> None:
        drawn = np.asarray(draw_card(printed_card("STRIP1")))
        bar = np.flatnonzero(drawn[9] == 0)
        assert (bar[-1] + 1 - bar[0]) * MM_PER_PIXEL == pytest.approx(40, abs=0.1)
        edge = np.flatnonzero(np.diff((drawn[-1] == 0).astype(int)) == 1)
        assert len(edge) == 81
        assert (edge[-1] - edge[0]) * MM_PER_PIXEL == pytest.approx(80, abs=0.1)


class TestCommand:
    def test_it_writes_the_png_and_says_where_all_lies(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        out = tmp_path / "card.png"
        assert main(["card", "--out", str(out), "--id", "oak-7"]) == 0
        told = json.loads(capsys.readouterr().out)
        image = Image.open(out)
        assert image.size == (told["width"], told["height"]) == (WIDTH, HEIGHT)
        assert image.info["dpi"] == pytest.approx((DPI, DPI), abs=0.01)
        assert told["id"] == "OAK-7"
        assert told["mm_per_pixel"] == pytest.approx(25.4 / 300, abs=1e-6)
        codes = [image.getpixel(tuple(np.mean(p["corners"], axis=0).astype(int).tolist())) for p in told["patches"]]
        assert codes == [step.code for step in printed_card("OAK-7").steps]

    def test_without_an_id_it_makes_one_up(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        ids = set()
        for _ in range(2):
            assert main(["card", "--out", str(tmp_path / "card.png")]) == 0
            ids.add(json.loads(capsys.readouterr().out)["id"])
        assert len(ids) == 2

    @pytest.mark.parametrize(
        ("name", "more"),
        [
            ("card.png", ["--id", "two words"]),
            ("card.png", ["--id", ""]),
            ("card.jpg", []),
            ("no/such/folder/card.png", []),
            ("", []),
        ],
    )
    def test_bad_input_is_one_sentence(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, more: list[str]
    ) -> None:
        assert main(["card", "--out", str(tmp_path / name), *more]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert "Errno" not in said.err
        assert list(tmp_path.iterdir()) == []


class TestSheet:
    @pytest.mark.parametrize("paper", list(PAPERS_MM))
    def test_it_has_the_papers_size(self, paper: Paper) -> None:
        sheet = draw_sheet(printed_card("STRIP1"), paper)
        assert sheet.startswith(b"%PDF")
        box = sheet.split(b"/MediaBox [ ")[1].split(b" ]")[0].split()
        assert [float(v) / 72 * 25.4 for v in box[2:]] == pytest.approx(PAPERS_MM[paper], abs=0.1)

    @pytest.mark.parametrize("paper", list(PAPERS_MM))
    def test_every_strip_on_it_is_true_to_size_and_readable(self, paper: Paper) -> None:
        sheet = draw_sheet(printed_card("STRIP1"), paper)
        start = sheet.index(b"\xff\xd8\xff")
        drawn = Image.open(io.BytesIO(sheet[start:]))
        codes = [c for c in zxingcpp.read_barcodes(drawn) if c.text == "HCAASTRIP1"]
        assert len(codes) == cards_on(paper) >= 12
        for code in codes:
            width = code.position.top_right.x - code.position.top_left.x
            assert width * MM_PER_PIXEL == pytest.approx(17.78, abs=0.2)
