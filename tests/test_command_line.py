"""measure and compare: what they print, and one sentence for whatever cannot be used."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.synthetic import BROW, CARD_BOX, STRIP_LAB, Look, draw_photo, png_claiming
from webapp.__main__ import main
from webapp.settings import ROOT

CARD = {"patches": [{"corners": CARD_BOX, "lab": [49.5, 0, 0]}]}
OUTLINE = {"outline": BROW}


@pytest.fixture
def files(tmp_path: Path) -> dict[str, Path]:
    """The three sound files that measure wants."""
    paths = {name: tmp_path / name for name in ("photo.jpg", "region.json", "card.json")}
    paths["photo.jpg"].write_bytes(draw_photo())
    paths["region.json"].write_text(json.dumps(OUTLINE))
    paths["card.json"].write_text(json.dumps(CARD))
    return paths


Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command; give its exit status and what it printed on both outputs."""

    def run(*arguments: object) -> tuple[int, str, str]:
        status = main([str(a) for a in arguments])
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return run


def measure(run: Run, files: dict[str, Path], *more: str) -> dict[str, Any]:
    status, out, err = run("measure", files["photo.jpg"], *_options(files), *more)
    assert (status, err) == (0, "")
    return json.loads(out)


def _options(files: dict[str, Path]) -> list[object]:
    return ["--region", files["region.json"], "--card", files["card.json"]]


def refusal(status: int, out: str, err: str) -> str:
    """Give the sentence, having checked that it is one, alone, and that the status says so."""
    assert (status, out) == (2, "")
    assert err.endswith(".\n")
    sentence = err.strip()
    assert "\n" not in sentence
    assert ". " not in sentence
    assert "Traceback" not in sentence
    assert len(sentence) > 15
    return sentence


class TestMeasure:
    def test_it_prints_the_agreed_shape(self, run: Run, files: dict[str, Path]) -> None:
        told = measure(run, files)
        for part in ("pigment", "outline", "skin"):
            assert [len(told[part]["lab"]), len(told[part]["sd"])] == [3, 3]
            assert isinstance(told[part]["pixels"], int)
            assert told[part]["pixels"] > 1000
        assert told["quality"] == {"grade": "good", "reasons": []}
        assert told["card"]["patches"] == 1
        assert isinstance(told["card"]["residual"], float)
        assert isinstance(told["method"], str)

    def test_the_colours_are_those_that_were_drawn(self, run: Run, files: dict[str, Path]) -> None:
        told = measure(run, files)
        assert told["pigment"]["lab"] == pytest.approx([42.8, 11.1, 12.8], abs=0.5)
        assert told["skin"]["lab"] == pytest.approx([69.7, 12.1, 18.4], abs=0.5)

    def test_a_coloured_light_is_taken_out_by_the_card(self, run: Run, files: dict[str, Path]) -> None:
        plain = measure(run, files)
        files["photo.jpg"].write_bytes(draw_photo(Look(light=(0.95, 0.9, 0.8))))
        cast = measure(run, files)
        assert cast["skin"]["lab"] == pytest.approx(plain["skin"]["lab"], abs=2.0)

    def test_a_swatch_is_measured_flat_and_has_no_skin(self, run: Run, files: dict[str, Path]) -> None:
        files["region.json"].write_text(json.dumps({"outline": [[300, 270], [380, 270], [380, 310], [300, 310]]}))
        told = measure(run, files, "--swatch")
        assert told["skin"] is None
        assert told["pigment"]["pixels"] == 80 * 40
        assert told["quality"]["grade"] == "good"

    def test_every_step_of_a_strip_is_used(self, run: Run, files: dict[str, Path]) -> None:
        left, top, right, bottom = (*CARD_BOX[0], *CARD_BOX[2])
        width = (right - left) / 5
        boxes = [[left + i * width, left + (i + 1) * width] for i in range(5)]
        patches = [
            {"corners": [[a, top], [b, top], [b, bottom], [a, bottom]], "lab": lab}
            for (a, b), lab in zip(boxes, STRIP_LAB, strict=True)
        ]
        files["card.json"].write_text(json.dumps({"patches": patches}))
        files["photo.jpg"].write_bytes(draw_photo(steps=5))
        told = measure(run, files)
        assert told["card"]["patches"] == 5
        assert told["card"]["residual"] < 0.5

    def test_a_card_box_on_skin_is_measured_and_graded(self, run: Run, files: dict[str, Path]) -> None:
        skin = {"corners": [[300, 120], [420, 120], [420, 200], [300, 200]], "lab": [49.5, 0, 0]}
        files["card.json"].write_text(json.dumps({"patches": [skin]}))
        quality = measure(run, files)["quality"]
        assert quality["grade"] == "retake"
        assert quality["reasons"]

    def test_it_works_as_a_command_too(self, files: dict[str, Path], tmp_path: Path) -> None:
        command = [sys.executable, "-m", "webapp", "measure", files["photo.jpg"], *_options(files)]
        plain = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONPATH": str(ROOT)}
        good = subprocess.run([*map(str, command)], capture_output=True, text=True, cwd=ROOT, env=plain, check=False)
        assert (good.returncode, good.stderr) == (0, "")
        assert json.loads(good.stdout)["quality"]["grade"] == "good"
        files["photo.jpg"].write_bytes(draw_photo()[:9000])
        bad = subprocess.run([*map(str, command)], capture_output=True, text=True, cwd=ROOT, env=plain, check=False)
        refusal(bad.returncode, bad.stdout, bad.stderr)


JPEG = draw_photo()


BAD_PHOTOS = {
    "empty": b"",
    "letter": b"grandmother",
    "header alone": JPEG[:20],
    "broken off early": JPEG[:600],
    "broken off half-way": JPEG[:9000],
    "broken off late": JPEG[:-2000],
    "binary junk": bytes(range(256)) * 99,
    "bomb": png_claiming(60_000, 60_000),
    "smaller bomb": png_claiming(12_000, 11_000),
    "broken off PNG": png_claiming(600, 450),
    "PNG of no size": png_claiming(0, 0),
    "PNG in name": b"\x89PNG\r\n\x1a\n",
    "TIFF in name": b"II*\x00" + b"\xff" * 99,
    "WebP in name": b"RIFF\xff\xff\xff\xffWEBPVP8 ",
    "HEIC in name": b"\x00\x00\x00\x18ftypheic",
    "animation": b"GIF89a" + bytes(99),
    "marks": b'{"outline": []}',
}


class TestBadPhoto:
    @pytest.mark.parametrize("content", BAD_PHOTOS.values(), ids=BAD_PHOTOS.keys())
    def test_it_gives_a_sentence(self, run: Run, files: dict[str, Path], content: bytes) -> None:
        files["photo.jpg"].write_bytes(content)
        refusal(*run("measure", files["photo.jpg"], *_options(files)))

    def test_junk_inside_a_photo_gives_a_sentence_or_a_measurement(self, run: Run, files: dict[str, Path]) -> None:
        for seed in range(12):
            broken = bytearray(JPEG)
            for i in range(12):
                broken[(seed * 7919 + i * 104_729) % len(broken)] = (seed * 31 + i * 17) % 256
            files["photo.jpg"].write_bytes(bytes(broken))
            status, out, err = run("measure", files["photo.jpg"], *_options(files))
            assert json.loads(out) if status == 0 else refusal(status, out, err)

    @pytest.mark.parametrize("which", ["photo.jpg", "region.json", "card.json"])
    @pytest.mark.parametrize("how", ["missing", "directory"])
    def test_a_file_that_is_not_there_is_named(self, run: Run, files: dict[str, Path], which: str, how: str) -> None:
        files[which].unlink()
        if how == "directory":
            files[which].mkdir()
        assert which in refusal(*run("measure", files["photo.jpg"], *_options(files)))


NOT_JSON = ["", "{", "outline: 1", "[1, 2", '{"outline": [[1, 2]', "\x00\x01", "<html>", "[" * 100_000, "'"]
WRONG = ["null", "7", "[]", '"text"', "{}", "true", "1e999", "NaN", '{"Outline": []}']
BAD_OUTLINES: dict[str, Any] = {
    "empty": [],
    "two points": BROW[:2],
    "no points": [1, 2, 3],
    "three numbers a point": [[1, 2, 3]] * 4,
    "ragged": [[1, 2], [3], [4, 5]],
    "text": "around the brow",
    "words": [["a", "b"]] * 4,
    "nothing": None,
    "none inside": [[None, 1], [2, 3], [4, 5]],
    "object": {"x": 1},
    "not a number": [[float("nan"), 1], [2, 3], [4, 5]],
    "infinite": [[float("inf"), 1], [2, 3], [4, 5]],
    "huge": [[1e308, 1e308], [-1e308, 1], [1, 2]],
    "huge whole number": [[10**400, 1], [2, 3], [4, 5]],
    "outside": [[590, 400], [700, 400], [700, 440]],
    "negative": [[-50, 10], [100, 10], [100, 100]],
    "crossing": [[150, 260], [530, 320], [150, 320], [530, 260]],
    "on one spot": [[5, 5]] * 6,
    "on one line": [[5, 5], [100, 5], [50, 5]],
    "tiny": [[5, 5], [6.5, 5], [6.5, 6.5]],
    "far too many": [[i % 600, i % 450] for i in range(50_000)],
    "deep": json.loads("[" * 200 + "]" * 200),
}
BOX = CARD_BOX
BAD_PATCHES: dict[str, Any] = {
    "none": [],
    "no list": {"corners": BOX, "lab": [50, 0, 0]},
    "text": "the card",
    "patch is a number": [7],
    "patch is null": [None],
    "patch is empty": [{}],
    "no lab": [{"corners": BOX}],
    "no corners": [{"lab": [50, 0, 0]}],
    "three corners": [{"corners": BOX[:3], "lab": [50, 0, 0]}],
    "five corners": [{"corners": [*BOX, [1, 1]], "lab": [50, 0, 0]}],
    "lab of two": [{"corners": BOX, "lab": [50, 0]}],
    "lab of red": [{"corners": BOX, "lab": [50, 60, 40]}],
    "lab of black": [{"corners": BOX, "lab": [0, 0, 0]}],
    "lab too bright": [{"corners": BOX, "lab": [101, 0, 0]}],
    "lab not a number": [{"corners": BOX, "lab": [float("nan"), 0, 0]}],
    "lab infinite": [{"corners": BOX, "lab": [50, float("inf"), 0]}],
    "lab huge": [{"corners": BOX, "lab": [50, 1e308, 0]}],
    "lab is text": [{"corners": BOX, "lab": "grey"}],
    "over the edge": [{"corners": [[-40, 40], [200, 40], [200, 120], [-40, 120]], "lab": [50, 0, 0]}],
    "crossing": [{"corners": [BOX[0], BOX[2], BOX[1], BOX[3]], "lab": [50, 0, 0]}],
    "tiny": [{"corners": [[40, 40], [43, 40], [43, 43], [40, 43]], "lab": [50, 0, 0]}],
    "huge": [{"corners": [[1e308, 0], [1e308, 1], [0, 1], [0, 1e308]], "lab": [50, 0, 0]}],
    "one bad among good": [CARD["patches"][0], {"corners": BOX[:3], "lab": [50, 0, 0]}],
    "far too many": CARD["patches"] * 5000,
}


class TestBadMarks:
    @pytest.mark.parametrize("which", ["region.json", "card.json"])
    def test_a_file_that_is_not_json_or_holds_something_else_is_named(
        self, run: Run, files: dict[str, Path], which: str
    ) -> None:
        for content in [*NOT_JSON, *WRONG]:
            files[which].write_text(content)
            assert which in refusal(*run("measure", files["photo.jpg"], *_options(files))), content[:40]

    def test_a_photo_in_place_of_the_marks_is_named(self, run: Run, files: dict[str, Path]) -> None:
        for which in ("card.json", "region.json"):
            files[which].write_bytes(JPEG)
            assert which in refusal(*run("measure", files["photo.jpg"], *_options(files)))

    @pytest.mark.parametrize("bad", BAD_OUTLINES)
    def test_an_outline_that_cannot_be_used_gives_a_sentence(self, run: Run, files: dict[str, Path], bad: str) -> None:
        files["region.json"].write_text(json.dumps({"outline": BAD_OUTLINES[bad]}))
        assert "utline" in refusal(*run("measure", files["photo.jpg"], *_options(files)))

    @pytest.mark.parametrize("bad", BAD_PATCHES)
    def test_a_card_that_cannot_be_used_gives_a_sentence(self, run: Run, files: dict[str, Path], bad: str) -> None:
        files["card.json"].write_text(json.dumps({"patches": BAD_PATCHES[bad]}))
        assert "card" in refusal(*run("measure", files["photo.jpg"], *_options(files)))


class TestWrongCommand:
    @pytest.mark.parametrize(
        "arguments",
        [
            [],
            ["tattoo"],
            ["measure"],
            ["measure", "a.jpg"],
            ["measure", "a.jpg", "--region", "r.json"],
            ["measure", "a.jpg", "--region", "r.json", "--card"],
            ["measure", "a.jpg", "--region", "r.json", "--card", "c.json", "--swatches"],
            ["compare", "one.json"],
            ["compare", "one.json", "two.json", "three.json"],
            ["serve", "--port", "many"],
            ["serve", "--port", "0"],
            ["serve", "--port", "70000"],
            ["serve", "--port", "-1"],
        ],
        ids=" ".join,
    )
    def test_it_gives_a_sentence(self, run: Run, arguments: list[str]) -> None:
        refusal(*run(*arguments))


class TestServeRefuses:
    @pytest.fixture(autouse=True)
    def no_server(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("uvicorn.run", lambda *_, **__: pytest.fail("the server was started"))

    def test_a_file_in_place_of_the_folder(self, run: Run, tmp_path: Path) -> None:
        (tmp_path / "studio").write_text("a letter")
        assert "cannot hold a studio" in refusal(*run("serve", "--data", tmp_path / "studio"))
        assert "cannot hold a studio" in refusal(*run("serve", "--data", tmp_path / "studio" / "below"))

    def test_a_folder_in_place_of_the_records(self, run: Run, tmp_path: Path) -> None:
        (tmp_path / "almanac.sqlite3").mkdir()
        refusal(*run("serve", "--data", tmp_path))

    def test_records_that_are_no_database(self, run: Run, tmp_path: Path) -> None:
        (tmp_path / "almanac.sqlite3").write_bytes(b"a letter to grandmother " * 99)
        assert "not the almanac's own file" in refusal(*run("serve", "--data", tmp_path))

    @pytest.mark.parametrize(("first", "then"), [([], ["--demo"]), (["--demo"], [])])
    def test_an_own_folder_as_demo_and_the_other_way_round(
        self, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, first: list[str], then: list[str]
    ) -> None:
        monkeypatch.setattr("uvicorn.run", lambda *_, **__: None)
        monkeypatch.setattr("webapp.serve.fill_demo", lambda *_, **__: None)
        assert run("serve", "--data", tmp_path, *first)[0] == 0
        assert "never mixed" in refusal(*run("serve", "--data", tmp_path, *then))
        assert run("serve", "--data", tmp_path, *first)[0] == 0


class TestCompare:
    @pytest.fixture
    def two(self, run: Run, files: dict[str, Path], tmp_path: Path) -> list[Path]:
        """One brow, and the same later: lighter and warmer."""
        paths = []
        for name, brow in (("before.json", (124, 92, 78)), ("after.json", (155, 105, 70))):
            files["photo.jpg"].write_bytes(draw_photo(Look(brow=brow)))
            (tmp_path / name).write_text(json.dumps(measure(run, files)))
            paths.append(tmp_path / name)
        return paths

    def test_it_prints_both_ways_of_comparing(self, run: Run, two: list[Path]) -> None:
        status, out, err = run("compare", *two)
        assert (status, err) == (0, "")
        told = json.loads(out)
        for way in ("card_only", "anchored"):
            assert {"lab", "chroma", "hue", "warmth", "delta_e_00", "more_than_noise"} <= told[way].keys()
            assert told[way]["lab"][0] > 0
            assert told[way]["warmth"] > 0
            assert told[way]["more_than_noise"] is True
        assert told["density"]["change"] < 0
        assert told["density"]["change"] == pytest.approx(
            told["density"]["after"] - told["density"]["before"], abs=1e-3
        )
        assert told["more_than_noise"] is True
        assert told["skin_or_light_changed"] is False

    def test_a_photo_beside_itself_shows_no_change(self, run: Run, two: list[Path]) -> None:
        told = json.loads(run("compare", two[0], two[0])[1])
        assert told["anchored"]["delta_e_00"] == pytest.approx(0, abs=1e-3)
        assert told["card_only"]["lab"] == [0, 0, 0]
        assert told["more_than_noise"] is False

    def test_the_way_back_is_the_way_there_turned_round(self, run: Run, two: list[Path]) -> None:
        there, back = (json.loads(run("compare", *p)[1])["card_only"] for p in (two, two[::-1]))
        for quantity in ("chroma", "hue", "warmth"):
            assert there[quantity] == pytest.approx(-back[quantity], abs=1e-3)
        assert there["delta_e_00"] == pytest.approx(back["delta_e_00"], abs=1e-3)

    def test_without_bare_skin_there_is_only_the_cards_word(self, run: Run, two: list[Path]) -> None:
        told = json.loads(two[0].read_text())
        two[0].write_text(json.dumps(told | {"skin": None}))
        compared = json.loads(run("compare", *two)[1])
        assert compared["anchored"] is compared["density"] is compared["skin"] is None
        assert compared["more_than_noise"] is True

    def test_the_bare_contract_without_extra_keys_is_enough(self, run: Run, two: list[Path]) -> None:
        bare = {"lab": [40.0, 10.0, 12.0], "sd": [1.0, 1.0, 1.0], "pixels": 900}
        two[0].write_text(json.dumps({"pigment": bare, "skin": bare | {"lab": [68.0, 12.0, 18.0]}}))
        assert run("compare", *two)[0] == 0

    @pytest.mark.parametrize("place", [0, 1])
    def test_a_wrong_file_is_named(self, run: Run, two: list[Path], place: int) -> None:
        for content in [*NOT_JSON, *WRONG, json.dumps(CARD), json.dumps(OUTLINE), '{"pigment": null}']:
            two[place].write_text(content)
            assert two[place].name in refusal(*run("compare", *two)), content[:40]
        two[place].write_bytes(JPEG)
        assert two[place].name in refusal(*run("compare", *two))
        two[place].unlink()
        assert two[place].name in refusal(*run("compare", *two))

    @pytest.mark.parametrize("part", ["pigment", "skin"])
    @pytest.mark.parametrize(
        ("key", "value"),
        [
            ("lab", [50, 0]),
            ("lab", [50, 0, float("nan")]),
            ("lab", [1e308, 0, 0]),
            ("lab", [50, 1e5, 0]),
            ("lab", [0, 0, 0]),
            ("lab", [10**400, 0, 0]),
            ("lab", None),
            ("lab", "brown"),
            ("sd", [0, 0, 0]),
            ("sd", [-1, 1, 1]),
            ("sd", [1e200, 1, 1]),
            ("sd", [1, 1]),
            ("pixels", "many"),
            ("pixels", -1),
            ("pixels", float("inf")),
            ("pixels", [1]),
            ("covariance", 7),
            ("covariance", []),
            ("covariance", {"spread": [[1, 0, 0], [0, 1, 0], [0, 0, 1]]}),
            ("covariance", {"spread": [[0] * 3] * 3, "shared": [[0] * 3] * 3}),
            ("covariance", {"spread": [[-9, 0, 0], [0, 1, 0], [0, 0, 1]], "shared": [[0] * 3] * 3}),
            ("covariance", {"spread": [[1, 9, 0], [0, 1, 0], [0, 0, 1]], "shared": [[0] * 3] * 3}),
            ("covariance", {"spread": [[1e300] * 3] * 3, "shared": [[0] * 3] * 3}),
        ],
    )
    def test_a_figure_that_no_measurement_has_is_refused(
        self, run: Run, tmp_path: Path, part: str, key: str, value: Any
    ) -> None:
        colour = {"lab": [40.0, 10.0, 12.0], "sd": [1.0, 1.0, 1.0], "pixels": 900}
        told = {"pigment": dict(colour), "skin": dict(colour)}
        (tmp_path / "good.json").write_text(json.dumps(told))
        told[part][key] = value
        (tmp_path / "bad.json").write_text(json.dumps(told))
        for order in (("good.json", "bad.json"), ("bad.json", "good.json")):
            assert "bad.json" in refusal(*run("compare", *(tmp_path / name for name in order)))
