import itertools
import threading
from pathlib import Path

import pytest

from tests.page_reading import Page, refused
from tests.studio import MARKS, SESSION, Studio
from tests.synthetic import draw_photo
from webapp.records.tables import Client, FollowUp, Session

NUMBERS = ["0", "-1", "2", "99", str(2**31), str(2**63 - 1), str(2**63), str(-(2**63) - 1), "9" * 30, "9" * 5000]
WORDS = ["x", "1.5", "1e3", "NaN", "%00", "1%00", "null", "１", "1;", "../1", "%2e%2e", "1' OR '1'='1"]
READ = [
    "/clients/{}",
    "/clients/{}/edit",
    "/clients/{}/withdraw",
    "/clients/{}/consents",
    "/clients/{}/consents/print",
    "/clients/{}/history",
    "/clients/{}/skin",
    "/clients/{}/skin.svg",
    "/clients/{}/questions",
    "/clients/{}/merge",
    "/clients/{}/merge/1",
    "/clients/{}/works/new",
    "/works/{}/aim",
    "/works/{}/aim/spot?follow_up=1",
    "/works/{}/sheet",
    "/works/{}/sheet.pdf",
    "/works/{}",
    "/works/{}/sessions/new",
    "/works/{}/follow-ups/new",
    "/works/{}/cycles/1/warmth.svg",
    "/sessions/{}",
    "/follow-ups/{}",
    "/follow-ups/{}/marks",
    "/follow-ups/{}/balanced.jpg",
    "/photos/{}/whole.jpg",
    "/pigments/{}",
    "/pigments/{}/edit",
    "/pigments/{}/bottles/new",
    "/pigments/{}/swatches/new",
    "/bottles/{}",
    "/swatches/{}",
    "/swatches/{}/marks",
    "/swatches/{}/balanced.jpg",
]
WRITE = [
    "/clients/{}/edit",
    "/clients/{}/consent",
    "/clients/{}/withdraw",
    "/clients/{}/questions",
    "/clients/{}/merge/1",
    "/clients/{}/works/new",
    "/works/{}/aim",
    "/works/{}/sessions/new",
    "/works/{}/follow-ups/new",
    "/sessions/{}",
    "/follow-ups/{}/marks",
    "/follow-ups/{}/take-in",
    "/follow-ups/{}/delete",
]


def test_an_id_that_does_not_exist_is_no_page(studio: Studio, measured: int) -> None:
    for address, number in itertools.product(READ, NUMBERS + WORDS):
        answer = studio.browser.get(address.format(number))
        assert answer.status_code in (404, 405), (address, number[:40], answer.status_code)
        assert "no such page" in Page(answer).words or answer.status_code == 405


def test_nothing_can_be_changed_under_an_id_that_does_not_exist(studio: Studio, measured: int) -> None:
    before = [len(studio.rows(t)) for t in (Client, Session, FollowUp)]
    for address, number in itertools.product(WRITE, NUMBERS + WORDS):
        answer = studio.browser.post(address.format(number), data=NEW | SESSION | MARKS | {"because": "x"})
        assert answer.status_code in (404, 405), (address, number[:40], answer.status_code)
    assert [len(studio.rows(t)) for t in (Client, Session, FollowUp)] == before


NEW = {"alias": "Wren", "skin_notes": "", "site": "left brow"}


KEYS = ["1-{digest}", "%2e%2e", "1-..%2f..%2f..", "2-{digest}", "1-²", "1-" + "a" * 5000, "1-", "%00"]
PICTURES = [
    "../../almanac.sqlite3",
    "..%2f..%2falmanac.sqlite3",
    "/etc/passwd",
    "%2fetc%2fpasswd",
    "balanced.jpg%00",
    "whole.jpg",
    "..",
    "x" * 5000,
]


def test_no_other_file_comes_out_by_a_picture_name(studio: Studio, measured: int) -> None:
    digest = studio.pictures()[0].name.split("-")[2]
    own = f"/follow-ups/1/pictures/1-{digest}/balanced.jpg"
    assert studio.browser.get(own).headers["content-type"] == "image/jpeg"
    for key, name in itertools.product([k.format(digest=digest) for k in KEYS], [*PICTURES, "balanced.jpg"]):
        address = f"/follow-ups/1/pictures/{key}/{name}"
        assert studio.browser.get(address).status_code == 404 or address == own, address


def test_no_other_file_comes_out_as_a_static_one(studio: Studio) -> None:
    for path in ("../webapp/app.py", "..%2fwebapp%2fapp.py", "%2e%2e/webapp/app.py", "/etc/passwd", "%00", ""):
        answer = studio.browser.get(f"/static/{path}")
        assert answer.status_code == 404, path
        assert "make_app" not in answer.text


TEXTS = {
    "markup": "<script>alert(1)</script><img src=x onerror=alert(1)>",
    "breaking out of a value": '"><script>alert(1)</script>',
    "breaking out of a text area": "</textarea><script>alert(1)</script>",
    "template": "{{ 7 * 7 }}{% if 1 %}",
    "letters of all kinds": "Ωμέγα 雪 𝒳 שלום \u202eright to left\u202c e\u0301 👩🏽‍🎨",
    "no character": "a\x00b",
    "control characters": "a\x07\x1b[31mb",
    "database": "'; DROP TABLE client; --",
}


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_a_text_comes_back_as_it_was_typed_and_does_nothing(studio: Studio, text: str) -> None:
    client = studio._sent(
        "/clients/new", {"alias": text, "skin_notes": text, "consent": "yes", "consent_on": "2025-01-01"}
    )
    work = studio._sent(f"/clients/{client}/works/new", {"site": "left brow", "note": text})
    studio.add_session(work, artist=text[:80], new_pigment=text, note=text)
    photo = studio.add_photo(work, note=text)
    card = {"name": text, "kind": "grey card", "patches": "50 0 0", "values_from": "maker", "note": text}
    studio.browser.post("/cards", data=card)
    studio.browser.post("/pigments", data={"name": text + "2", "family": "hybrid", "note": text})
    studio.measure(photo, note=text)
    assert Page(studio.browser.get(f"/clients/{client}/edit")).fields["alias"].replace("\ufffd", "\x00") == text
    pages = ["/", "/clients/1", "/works/1", "/sessions/1", "/follow-ups/1", "/follow-ups/1/marks", "/pigments"]
    pages += ["/clients", "/clients/found", "/clients/1/history", "/clients/1/skin", "/clients/1/consents/print"]
    pages += ["/clients/1/merge", "/works/1/aim", "/works/1/sheet"]
    assert studio.browser.get("/works/1/sheet.pdf").content.startswith(b"%PDF")
    for address in pages:
        answer = studio.browser.get(address)
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
        assert "<img src=x" not in answer.text
        assert "49{%" not in answer.text
    assert studio.browser.get("/cards").text.count("<script>alert") == 0
    refusal = studio.browser.post("/clients/new", data={"alias": "", "skin_notes": text})
    assert "<script>alert" not in refused(refusal, "alias").words or "<script>alert" not in refusal.text


@pytest.mark.parametrize("charset", ["utf-7", "utf-16", "undefined", "rot13", "idna", "x" * 999, "ascii"])
def test_a_form_in_a_strange_encoding_does_no_harm(studio: Studio, charset: str) -> None:
    body = b'--x\r\nContent-Disposition: form-data; name="alias"\r\n\r\na+2AA-b\r\n--x--\r\n'
    kind = f"multipart/form-data; boundary=x; charset={charset}"
    answer = studio.browser.post("/clients/new", content=body, headers={"Content-Type": kind})
    assert answer.status_code in (303, 400, 422)
    assert studio.browser.get("/").status_code == 200


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("application/json", b'{"alias": "Wren"}'),
        ("text/plain", b"alias=Wren"),
        ("multipart/form-data", b"alias=Wren"),
        ("multipart/form-data; boundary=", b"----"),
        ("multipart/form-data; boundary=x", b"no boundary at all"),
        ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data\r\n\r\nWren\r\n--x--\r\n"),
        ("multipart/form-data; boundary=x", b"--x\r\n\xff\xfe: \xff\r\n\r\nWren\r\n--x--\r\n"),
        ("application/x-www-form-urlencoded", b"%ff%fe=%ff&alias"),
        ("application/x-www-form-urlencoded", b"&" * 5000),
        ("\x7f", b"alias=Wren"),
        ("", b""),
    ],
)
def test_a_body_that_is_no_form_of_ours_is_refused_in_a_sentence(studio: Studio, kind: str, body: bytes) -> None:
    for address in ("/clients/new", "/pigments", "/cards", "/cards/from-photo"):
        answer = studio.browser.post(address, content=body, headers={"Content-Type": kind})
        assert answer.status_code in (400, 422)
        assert "." in Page(answer).words
    assert studio.rows(Client) == []


def test_a_form_with_far_too_many_fields_is_refused_in_a_sentence(studio: Studio, work: int) -> None:
    many = {f"f{i}": "x" for i in range(1500)}
    for answer in (
        studio.browser.post("/clients/new", data=NEW | many),
        studio.browser.post(f"/works/{work}/follow-ups/new", data=many, files={"photo": ("a.jpg", draw_photo())}),
        studio.browser.post("/clients/new", data=NEW | {"skin_notes": "x" * 2_500_000}),
        studio.browser.post(
            f"/works/{work}/follow-ups/new",
            data={"card": "1", "on": "2025-04-01"},
            files=[("photo", ("a.jpg", draw_photo())), ("photo", ("b.jpg", draw_photo(seed=2)))],
        ),
    ):
        assert answer.status_code == 400
        assert "could not be read as this page's form" in Page(answer).words
    assert studio.photo_files() == []


def test_a_file_in_place_of_a_text_and_a_text_in_place_of_a_file(studio: Studio, work: int) -> None:
    answer = studio.browser.post("/clients/new", files={"alias": ("a.txt", b"Wren")})
    refused(answer, "alias")
    sent = {"card": "1", "on": "2025-04-01", "photo": "/etc/passwd"}
    refused(studio.browser.post(f"/works/{work}/follow-ups/new", data=sent), "photo")


@pytest.mark.parametrize("name", ["../../x.jpg", "a\x00b.jpg", "x" * 5000 + ".jpg", "<script>.jpg", "con", "…"])
def test_the_file_name_decides_nothing(studio: Studio, work: int, name: str) -> None:
    sent = {"card": "1", "on": "2025-04-01", "note": ""}
    studio.browser.post(f"/works/{work}/follow-ups/new", data=sent, files={"photo": (name, draw_photo())})
    for file in studio.photo_files():
        assert len(file.name) == 64
        assert file.parent.parent == studio.settings.photos


def test_two_windows_that_add_the_same_alias_at_once_make_one_client(studio: Studio) -> None:
    answers = together(studio, lambda: studio.browser.post("/clients/new", data={"alias": "Robin"}), 4)
    assert sorted(a.status_code for a in answers) == [303, 422, 422, 422]
    assert len(studio.rows(Client)) == 1


def test_two_windows_that_send_the_same_photo_at_once_store_one(studio: Studio, work: int) -> None:
    sent = {"card": "1", "on": "2025-04-01", "note": ""}
    answers = together(
        studio,
        lambda: studio.browser.post(
            f"/works/{work}/follow-ups/new", data=sent, files={"photo": ("a.jpg", draw_photo())}
        ),
        3,
    )
    assert sorted(a.status_code for a in answers) == [303, 422, 422]
    assert len(studio.photo_files()) == len(studio.rows(FollowUp)) == 1


def together(studio: Studio, act, times: int) -> list:
    answers: list = []
    threads = [threading.Thread(target=lambda: answers.append(act())) for _ in range(times)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def test_records_that_are_busy_give_a_sentence_and_keep_the_entries(
    studio: Studio, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sqlite3

    other = sqlite3.connect(studio.settings.database, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with studio.browser.app.state.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA busy_timeout = 0")  # kept by the pool's one idle connection
    answer = studio.browser.post("/clients/new", data={"alias": "Robin", "skin_notes": "fair"})
    other.execute("ROLLBACK")
    other.close()
    assert answer.status_code == 503
    page = Page(answer)
    assert "busy with something else" in page.words
    assert page.fields == {"alias": "Robin", "skin_notes": "fair"}
    assert studio.browser.post("/clients/new", data=page.fields).status_code == 303
