import json
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from simulation.card_scenes import CardLying, CardScene, corner_error_mm, random_scene, scene_without_card

from webapp.__main__ import main
from webapp.colorimetry.encodings import SRGB, Floats
from webapp.colorimetry.lab import lab_to_linear
from webapp.photo.card_search import CardRefused, find_card
from webapp.photo.printed_card import printed_card
from webapp.photo.read import Photo, read_photo

ROOT = Path(__file__).resolve().parents[2]
DEMO_PHOTOS = sorted((ROOT / "demo_photos").glob("*.jpg"))
FINGER = lab_to_linear(np.array([66.0, 14.0, 18.0]))


def refused(photo: Photo, expected: str | None = None) -> CardRefused:
    with pytest.raises(CardRefused) as caught:
        find_card(photo, expected)
    assert re.fullmatch(r"[A-Z].{30,}\.", str(caught.value))
    return caught.value


class TestFinding:
    @pytest.mark.parametrize(("tilt", "turn"), [(0, 0), (0, 137), (20, 90), (20, 261), (40, 0), (40, 180), (40, 311)])
    def test_it_is_found_tilted_and_turned(self, tilt: float, turn: float) -> None:
        scene = CardScene((CardLying(tilt=tilt, tilt_about=35, turn=turn),), size=60)
        found = find_card(scene.photo)
        assert found is not None
        assert found.id == "STRIP1"
        assert corner_error_mm(scene, found) < 0.15
        assert found.confidence > 0.7

    @pytest.mark.parametrize(("size", "blur"), [(40, 0), (40, 1.2), (50, 2), (120, 0), (120, 2)])
    def test_it_is_found_small_large_and_soft(self, size: float, blur: float) -> None:
        scene = CardScene((CardLying(tilt=15, turn=200),), size=size, blur=blur)
        found = find_card(scene.photo)
        assert found is not None
        assert corner_error_mm(scene, found) < 0.2
        assert found.pixels_per_mm == pytest.approx(size / 10, rel=0.15)

    @pytest.mark.parametrize("light", [(0.08, 0.08, 0.08), (0.9, 0.55, 0.35), (0.4, 0.5, 0.8), (1.25, 1.25, 1.25)])
    def test_it_is_found_in_any_light(self, light: tuple[float, float, float]) -> None:
        scene = CardScene((CardLying(tilt=10, turn=70),), size=70, light=light, fall=0.6)
        found = find_card(scene.photo)
        assert found is not None
        assert corner_error_mm(scene, found) < 0.15

    @pytest.mark.parametrize("seed", range(1000, 1004))
    def test_it_is_found_anywhere_between(self, seed: int) -> None:
        scene = random_scene(seed)
        found = find_card(scene.photo)
        assert found is not None
        assert corner_error_mm(scene, found) < 0.2

    def test_its_steps_come_lightest_first_with_their_nominal_colour(self) -> None:
        scene = CardScene((CardLying(id="OAK-7", turn=180),))
        found = find_card(scene.photo, "oak-7")
        assert found is not None
        assert [p.lab.tolist() for p in found.patches] == [s.lab.tolist() for s in printed_card("OAK-7").steps]
        for patch in found.patches:
            x, y = patch.corners.mean(axis=0).astype(int)
            assert scene.photo.pixels[y, x].mean() == pytest.approx(float(patch.lab[0]) * 2.4, abs=25)

    def test_it_is_found_small_in_a_large_photo(self) -> None:
        scene = CardScene((CardLying(turn=30),), size=45)
        pixels = scene.photo.pixels
        large = np.full((2400, 3200, 3), (190, 150, 130), dtype=np.uint8)
        large[1200 : 1200 + pixels.shape[0], 2000 : 2000 + pixels.shape[1]] = pixels
        found = find_card(Photo(large, SRGB, None))
        assert found is not None
        true = find_card(scene.photo)
        assert true is not None
        assert found.outline == pytest.approx(true.outline + np.array([2000, 1200]), abs=0.6)


class TestNothingThere:
    @pytest.mark.parametrize("path", DEMO_PHOTOS[::9], ids=lambda p: p.stem)
    def test_demo_photos_hold_no_printed_card(self, path: Path) -> None:
        assert find_card(read_photo(path.read_bytes()), "STRIP1") is None

    @pytest.mark.parametrize("seed", range(5))
    def test_noise_skin_and_patterns_hold_none(self, seed: int) -> None:
        assert find_card(scene_without_card(seed)) is None

    @pytest.mark.parametrize("text", ["HELLO", "https://example.org"])
    def test_other_peoples_codes_are_passed_by(self, text: str) -> None:
        import segno

        cells = np.array(segno.make_qr(text).matrix)
        drawn = np.pad(np.kron(1 - cells, np.ones((9, 9))), 60, constant_values=1)
        both = np.hstack([drawn, drawn])
        assert find_card(Photo(np.repeat((both * 230).astype(np.uint8)[..., None], 3, axis=2), SRGB, None)) is None

    @pytest.mark.parametrize("shape", [(1, 1), (3, 900), (40, 40)])
    def test_a_tiny_photo_holds_none(self, shape: tuple[int, int]) -> None:
        assert find_card(Photo(np.full((*shape, 3), 128, dtype=np.uint8), SRGB, None)) is None


class TestRefusing:
    @pytest.mark.parametrize("other", ["STRIP1", "OAK-7"])
    def test_two_cards(self, other: str) -> None:
        cards = (CardLying(middle=(0, -22)), CardLying(middle=(0, 22), id=other, turn=4))
        assert refused(CardScene(cards, size=70).photo).why == "two cards"

    def test_a_card_of_another_registration(self) -> None:
        error = refused(CardScene((CardLying(id="OAK-7"),)).photo, "STRIP1")
        assert error.why == "another card"
        assert "OAK-7" in str(error)
        assert "STRIP1" in str(error)

    @pytest.mark.parametrize("end", ["left", "right"])
    def test_one_code_covered(self, end: str) -> None:
        def cover(drawing: Floats) -> Floats:
            part = slice(0, 150) if end == "left" else slice(850, None)
            drawing[:, part] = FINGER
            return drawing

        assert refused(CardScene(size=60, spoil=cover).photo).why == "one code"

    @pytest.mark.parametrize("turn", [0, 200])
    def test_a_mirrored_photo(self, turn: float) -> None:
        assert refused(CardScene((CardLying(turn=turn, tilt=10),), mirrored=True, size=70).photo).why == "mirrored"

    @pytest.mark.parametrize(("first", "last"), [(0, 1), (2, 4), (4, 6), (5, 6)])
    def test_a_finger_over_the_steps(self, first: int, last: int) -> None:
        steps = printed_card("STRIP1").steps
        left, right = int(steps[first].corners[0, 0]), int(steps[last - 1].corners[1, 0])

        def cover(drawing: Floats) -> Floats:
            drawing[:190, left:right] = FINGER
            return drawing

        assert refused(CardScene(size=60, spoil=cover).photo).why == "steps covered"

    def test_half_of_a_step_covered(self) -> None:
        def cover(drawing: Floats) -> Floats:
            drawing[90:190, 420:620] = FINGER
            return drawing

        assert refused(CardScene(size=60, spoil=cover).photo).why == "steps covered"

    def test_two_ends_that_are_not_of_one_flat_card(self) -> None:
        pixels = CardScene(size=60).photo.pixels.copy()
        middle = pixels.shape[1] // 2
        pixels[:, middle:] = np.roll(pixels[:, middle:], 40, axis=0)
        assert refused(Photo(pixels, SRGB, None)).why == "bent"


class TestMeasureWithoutCard:
    @pytest.fixture
    def scene(self, tmp_path: Path) -> Path:
        scene = CardScene((CardLying(middle=(0, -25)),), size=80, light=(0.8, 0.7, 0.5))
        Image.fromarray(scene.photo.pixels).save(tmp_path / "photo.png")
        outline = [[250, 560], [650, 560], [650, 640], [250, 640]]
        (tmp_path / "region.json").write_text(json.dumps({"outline": outline}))
        return tmp_path

    def _measure(self, folder: Path, *more: str) -> int:
        return main(["measure", str(folder / "photo.png"), "--region", str(folder / "region.json"), "--swatch", *more])

    def test_it_looks_for_the_printed_card(self, scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
        assert self._measure(scene) == 0
        told = json.loads(capsys.readouterr().out)
        assert told["found_by"] == "search"
        assert told["card"]["patches"] >= 5
        assert told["pigment"]["lab"] == pytest.approx([66, 11, 17], abs=3)

    def test_marks_are_said_to_be_marks(self, scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
        found = find_card(read_photo((scene / "photo.png").read_bytes()))
        assert found is not None
        patches = [{"corners": p.corners.tolist(), "lab": p.lab.tolist()} for p in found.patches]
        (scene / "card.json").write_text(json.dumps({"patches": patches}))
        assert self._measure(scene, "--card", str(scene / "card.json")) == 0
        marked = json.loads(capsys.readouterr().out)
        assert self._measure(scene) == 0
        searched = json.loads(capsys.readouterr().out)
        assert (marked.pop("found_by"), searched.pop("found_by")) == ("mark", "search")
        assert (marked["card"].pop("values"), searched["card"].pop("values")) == ("given", "nominal")
        assert "drift only" in searched["card"].pop("caution")
        assert marked == searched

    def test_no_card_is_one_sentence_that_says_what_to_do(
        self, scene: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        Image.fromarray(CardScene(cards=(), size=60).photo.pixels).save(scene / "photo.png")
        assert self._measure(scene) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert "--card" in said.err

    def test_a_refused_card_is_one_sentence(self, scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
        Image.fromarray(CardScene(mirrored=True, size=60).photo.pixels).save(scene / "photo.png")
        assert self._measure(scene) == 2
        assert "mirrored" in capsys.readouterr().err
