"""The client's sheet: the page and the PDF say the same, and the PDF holds nothing it should not."""

import io
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PIL import Image
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page
from tests.studio import Studio, close_studio, open_studio
from tests.synthetic import Look, draw_photo
from webapp.drift.groups import CycleRates, pool_groups
from webapp.pages.constituent_words import constituent_words, pigment_words
from webapp.pages.sheet import make_sheet
from webapp.pages.sheet_words import PRACTICE, tendency
from webapp.records.tables import Client, Constituent, Pigment, Session, Work
from webapp.records.words import FAMILIES


@pytest.fixture(scope="module")
def grown(stages: dict[str, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A studio with three healed photos of one brow, made once; tests get copies."""
    folder = tmp_path_factory.mktemp("healed") / "studio"
    shutil.copytree(stages["measured"], folder)
    studio = open_studio(folder)
    for on, brow, seed in (("2025-07-15", (135, 92, 70), 3), ("2025-11-15", (148, 93, 62), 4)):
        studio.measure(studio.add_photo(1, on, draw_photo(Look(brow=brow), seed=seed)), on=on)
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        rows.add(Constituent(pigment_id=1, position=0, text="CI 77499", colour_index="77499", share_percent=12.5))
        rows.add(Constituent(pigment_id=1, position=1, text="aqua", role="carrier"))
        rows.commit()
    close_studio(studio)
    return folder


@pytest.fixture
def healed(grown: Path, tmp_path: Path) -> Iterator[Studio]:
    shutil.copytree(grown, tmp_path / "healed")
    studio = open_studio(tmp_path / "healed")
    yield studio
    close_studio(studio)


def pdf(studio: Studio, work: int = 1) -> pypdf.PdfReader:
    answer = studio.browser.get(f"/works/{work}/sheet.pdf")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    return pypdf.PdfReader(io.BytesIO(answer.content))


def bare(text: str) -> str:
    return re.sub(r"\s", "", text)


def sentences(studio: Studio, work: int = 1) -> list[str]:
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        sheet = make_sheet(rows, studio.settings, rows.get_one(Work, work), date.today())
    photos = [p.words for p in sheet.photos]
    told = [*photos, *sheet.done, *sheet.pigments, sheet.moved, sheet.tends, sheet.tends_source]
    return [*told, *sheet.cautions, *sheet.consents]


def test_page_and_pdf_say_the_same_sentences(healed: Studio) -> None:
    on_page = bare(Page(healed.browser.get("/works/1/sheet")).words)
    in_pdf = bare(pdf(healed).pages[0].extract_text())
    told = sentences(healed)
    assert len(told) > 10
    for sentence in told:
        assert bare(sentence) in on_page, sentence
        assert bare(sentence) in in_pdf, sentence


def test_it_tells_what_was_done_of_what_and_how_it_moved(healed: Studio) -> None:
    words = Page(healed.browser.get("/works/1/sheet")).words
    assert "1 Feb 2025: first session, powder brow, by Kim, Walnut (hybrid)." in words
    assert "Walnut: made of black iron oxide, CI 77499 (12.5 %)." in words
    assert "aqua" not in words
    assert re.search(r"From 1 Apr 2025 to 15 Nov 2025 the colour became lighter( and warmer)? \(ΔE00 \d", words)
    assert re.search(r"Of the pigment \d+ % is left to see\.", words)
    assert "Common practice, no source; the studio has too few figures of its own." in words
    assert "Photos of the work are kept: agreed on 10 Jan 2025." in words
    assert "can darken under a laser" in words


def test_the_pdf_is_one_page_with_both_photos_and_nothing_about_the_machine(healed: Studio) -> None:
    reader = pdf(healed)
    assert len(reader.pages) == 1
    assert [round(float(v)) for v in reader.pages[0].mediabox[2:]] == [595, 842]
    assert set(reader.metadata or {}) <= {"/Producer"}
    assert [len(i.data) > 1000 for i in reader.pages[0].images] == [True, True]
    for image in reader.pages[0].images:
        assert not Image.open(io.BytesIO(image.data)).getexif()
    content = healed.browser.get("/works/1/sheet.pdf").content
    for trace in (b"Exif", str(healed.settings.folder).encode(), b"/tmp/"):
        assert trace not in content


def test_the_photos_are_the_balanced_ones(healed: Studio) -> None:
    balanced = [healed.browser.get(f"/follow-ups/{key}/balanced.jpg").content for key in (1, 3)]
    kept = [i.indirect_reference.get_object()._data for i in pdf(healed).pages[0].images if i.indirect_reference]
    assert sorted(kept) == sorted(balanced)


def test_without_a_photo_it_is_a_sheet_all_the_same(studio: Studio, work: int) -> None:
    assert "no sound healed photo yet" in Page(studio.browser.get(f"/works/{work}/sheet")).words
    assert "nosoundhealedphotoyet" in bare(pdf(studio).pages[0].extract_text())


def test_with_one_photo_it_promises_nothing(studio: Studio, measured: int) -> None:
    assert "There is one healed photo, of 1 Apr 2025." in Page(studio.browser.get("/works/1/sheet")).words
    assert len(pdf(studio).pages[0].images) == 1


def test_earlier_work_has_a_sheet_with_an_unknown_pigment(studio: Studio) -> None:
    client = studio.add_client()
    sent = {"site": "left brow", "earlier": "yes", "earlier_on": "2019", "earlier_technique": "microblading"}
    studio.browser.post(f"/clients/{client}/works/new", data=sent)
    words = Page(studio.browser.get("/works/1/sheet")).words
    assert "about 1 Jul 2019: earlier work, microblading, pigment unknown." in words
    assert "The pigment is not known." in words
    assert PRACTICE["unknown"] in words


def test_after_a_withdrawal_no_photo_is_on_it(healed: Studio) -> None:
    healed.browser.post("/clients/1/withdraw")
    assert list(pdf(healed).pages[0].images) == []
    assert "Photos of the work are kept: withdrawn." in Page(healed.browser.get("/works/1/sheet")).words


@pytest.mark.parametrize("alias", ["a\x07\x1b[31mb\uffff", "Änne & <Co>", "Σοφία", "雪", "x" * 80, "W" * 80])
def test_any_alias_and_much_text_stay_on_one_page(healed: Studio, alias: str) -> None:
    with DatabaseSession(healed.browser.app.state.engine) as rows:
        rows.get_one(Client, 1).alias = alias
        for month in range(1, 11):
            day = date(2024, month, 1)
            rows.add(Session(work_id=1, kind="touch-up", on_date=day, technique="combination", artist="K" * 80))
        rows.commit()
    answer = healed.browser.get("/works/1/sheet.pdf")
    assert answer.status_code == 200
    assert re.fullmatch(r'attachment; filename="[A-Za-z0-9-]+\.pdf"', answer.headers["content-disposition"])
    reader = pypdf.PdfReader(io.BytesIO(answer.content))
    assert len(reader.pages) == 1
    text = bare(reader.pages[0].extract_text())
    assert "5earliersessions,onrecordinthestudio." in text
    assert 'class="paper one-page crowded-' in healed.browser.get("/works/1/sheet").text
    assert "diagnosesnothing" in text
    assert bare(re.sub("[\x00-\x1f\uffff]", "", alias)) in text


@pytest.mark.parametrize("address", ["/works/9/sheet", "/works/9/sheet.pdf", "/works/0/sheet.pdf"])
def test_a_work_that_is_not_there_has_none(studio: Studio, address: str) -> None:
    assert studio.browser.get(address).status_code == 404


class TestTendency:
    def group(self, clients: int, turn: float = -0.8):
        cycles = [
            CycleRates(n, n, {"family": "hybrid"}, {"fading": (0.2 + n / 200, 0.02), "own_warmth": (turn, 0.1)})
            for n in range(clients)
        ]
        return pool_groups(cycles, ("family",), ("fading", "own_warmth"))

    def test_own_figures_from_five_clients_on(self) -> None:
        sentence, source = tendency("hybrid", self.group(5))
        assert re.match(
            r"In this studio such work loses 21\s% of its density a year \(95 %: \d+\s% to \d+\s%\)", sentence
        )
        assert "turns cooler by 0.8 a year" in sentence
        assert source == "The studio's own figures, from 5 clients who agreed to be counted."

    def test_no_turn_is_claimed_where_the_interval_holds_nought(self) -> None:
        assert "no clear turn" in tendency("hybrid", self.group(6, 0.02))[0]

    @pytest.mark.parametrize("clients", [1, 4])
    def test_of_fewer_it_is_common_practice_and_says_so(self, clients: int) -> None:
        assert tendency("hybrid", self.group(clients)) == (
            PRACTICE["hybrid"],
            "Common practice, no source; the studio has too few figures of its own.",
        )

    @pytest.mark.parametrize("family", FAMILIES)
    def test_every_family_has_a_sentence(self, family: str) -> None:
        assert tendency(family, ())[0] == PRACTICE[family]


def test_a_constituent_without_a_plain_name_stays_as_printed() -> None:
    known = Constituent(pigment_id=1, position=0, text="CI 77891", colour_index="77891")
    other = Constituent(pigment_id=1, position=1, text="Oddity Red (CI 12345)", colour_index="12345")
    assert constituent_words(known) == "titanium dioxide (white), CI 77891"
    assert constituent_words(other) == "Oddity Red (CI 12345)"
    pigment = Pigment(name="Clay", shade="2", family="inorganic")
    assert pigment_words(pigment, []) == "Clay, shade 2: mineral colour, mostly iron oxides."
