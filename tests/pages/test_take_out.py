import csv
import io
import json
import zipfile
from pathlib import Path

import pytest

from tests.page_reading import Page
from tests.studio import Studio, close_studio, open_studio
from tests.synthetic import draw_photo
from webapp.__main__ import main
from webapp.records.columns import COLUMNS
from webapp.records.tables import Client, FollowUp, MeasurementRow, PhotoFile


@pytest.fixture
def other(tmp_path: Path):
    """Another studio, empty."""
    studio = open_studio(tmp_path / "other")
    yield studio
    close_studio(studio)


@pytest.fixture
def full(studio: Studio) -> Studio:
    """A studio with two clients, one of whom has a measured photo."""
    studio.measure(studio.add_photo(studio.ready_work()))
    studio.add_client("Kestrel")
    return studio


def unpacked(studio: Studio, path: str) -> zipfile.ZipFile:
    answer = studio.browser.get(path)
    assert answer.status_code == 200
    assert "attachment" in answer.headers["content-disposition"]
    archive = zipfile.ZipFile(io.BytesIO(answer.content))
    assert archive.testzip() is None
    return archive


def table(archive: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(archive.read(name).decode("utf-8-sig"), newline="")))


def test_every_table_is_taken_out_with_a_readme_of_its_columns(full: Studio) -> None:
    archive = unpacked(full, "/take-out/tables.zip")
    assert set(archive.namelist()) == {"README.txt"} | {f"{t}.csv" for t in COLUMNS}
    assert [r["alias"] for r in table(archive, "client.csv")] == ["Robin", "Kestrel"]
    measured = full.rows(MeasurementRow)[0]
    assert json.loads(table(archive, "measurement.csv")[0]["pigment_lab"]) == measured.pigment_lab


def test_photos_come_along_where_asked_for(full: Studio) -> None:
    archive = unpacked(full, "/take-out/tables.zip?photos=yes")
    (stored,) = full.rows(PhotoFile)
    assert archive.read(f"photos/{stored.sha256}.jpg") == full.photo_files()[0].read_bytes()


def test_a_whole_studio_is_brought_in_again_to_the_same_rows_and_photos(full: Studio, other: Studio) -> None:
    content = full.browser.get("/take-out/studio.zip").content
    page = Page(other.browser.post("/bring-in", files={"studio": ("studio.zip", content)}))
    assert "Brought in: 2 clients, 1 work" in page.words
    assert "1 photo." in page.words
    rows = [s.browser.get("/take-out/studio.json").json()["tables"] for s in (full, other)]
    assert rows[0] == rows[1]
    assert [p.read_bytes() for p in other.photo_files()] == [p.read_bytes() for p in full.photo_files()]
    assert other.browser.get("/follow-ups/1/balanced.jpg").status_code in (200, 307)


def test_rows_alone_say_which_photos_are_missing(full: Studio, other: Studio) -> None:
    content = full.browser.get("/take-out/studio.json").content
    page = Page(other.browser.post("/bring-in", files={"studio": ("studio.json", content)}))
    assert "name 1 photo more" in page.words
    assert len(other.rows(FollowUp)) == 1


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("", b"", "Choose the studio.json"),
        ("notes.txt", b"hello", "not a studio"),
        ("deep.json", b"[" * 100_000, "not a studio"),
        ("other.json", b"{}", "not a studio"),
        ("cut.zip", b"PK\x03\x04 and then nothing", "damaged or cut off"),
    ],
)
def test_what_is_no_studio_is_refused_in_a_sentence(other: Studio, name: str, content: bytes, sentence: str) -> None:
    answer = other.browser.post("/bring-in", files={"studio": (name, content)})
    assert answer.status_code == 422
    assert sentence in Page(answer).words
    assert other.photo_files() == []


def test_a_zip_of_something_else_is_refused(full: Studio, other: Studio) -> None:
    content = full.browser.get("/take-out/tables.zip").content
    answer = other.browser.post("/bring-in", files={"studio": ("tables.zip", content)})
    assert "There is no studio.json in this ZIP" in Page(answer).words


def test_a_zip_that_breaks_off_leaves_nothing_behind(full: Studio, other: Studio) -> None:
    content = bytearray(full.browser.get("/take-out/studio.zip").content)
    at = zipfile.ZipFile(io.BytesIO(content)).infolist()[2].header_offset + 200
    content[at] ^= 0xFF  # inside the photo: its check sum no longer fits
    answer = other.browser.post("/bring-in", files={"studio": ("studio.zip", bytes(content))})
    assert answer.status_code == 422
    assert other.photo_files() == []
    assert other.rows(Client) == []


def test_a_studio_with_clients_does_not_offer_to_bring_in(full: Studio) -> None:
    page = Page(full.browser.get("/take-out"))
    assert "two studios are not mixed" in page.words
    answer = full.browser.post(
        "/bring-in", files={"studio": ("s.json", full.browser.get("/take-out/studio.json").content)}
    )
    assert answer.status_code == 422
    assert len(full.rows(Client)) == 2


def test_one_clients_file_holds_hers_and_nobody_elses(full: Studio) -> None:
    work = full.ready_work("Merlin")
    full.measure(full.add_photo(work, content=draw_photo(seed=5)))
    archive = unpacked(full, "/clients/3/take-out.zip")
    assert [r["alias"] for r in table(archive, "client.csv")] == ["Merlin"]
    assert [r["id"] for r in table(archive, "work.csv")] == [str(work)]
    assert [r["name"] for r in table(archive, "pigment.csv")] == ["Walnut"]
    assert {r["client_id"] for r in table(archive, "photofile.csv")} == {"3"}
    photos = [n for n in archive.namelist() if n.startswith("photos/")]
    assert len(photos) == 1
    assert photos[0].startswith("photos/2025-04-01 left brow ")
    assert full.browser.get("/clients/99/take-out.zip").status_code == 404


def test_the_command_line_moves_a_studio(full: Studio, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    close_studio(full)
    assert main(["take-out", str(tmp_path / "s.zip"), "--data", str(full.settings.folder)]) == 0
    assert main(["bring-in", str(tmp_path / "s.zip"), "--data", str(tmp_path / "new")]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["client"], told["photos"], told["photos missing"]) == (2, 1, 0)
    assert main(["bring-in", str(tmp_path / "s.zip"), "--data", str(tmp_path / "new")]) == 2
    assert "two studios are not mixed" in capsys.readouterr().err
    assert main(["take-out", str(tmp_path / "s.zip"), "--data", str(tmp_path / "nowhere")]) == 2
    assert "no studio in" in capsys.readouterr().err
    assert not (tmp_path / "nowhere").exists()
