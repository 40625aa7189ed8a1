import asyncio
import gc
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.page_reading import Page
from tests.studio import ADDRESS, Studio, close_studio, open_studio
from tests.synthetic import draw_photo
from webapp.pages.guard import STRICT_HEADERS
from webapp.records.tables import Client, PhotoFile

NEW = {"alias": "Robin", "skin_notes": ""}


def raw(studio: Studio, messages: list[dict[str, Any]], path: str, headers: dict[str, str]) -> list[dict[str, Any]]:
    """Send a request piece by piece, as a slow or broken browser does; give what was sent back."""
    sent: list[dict[str, Any]] = []
    left: Iterator[dict[str, Any]] = iter(messages)

    async def receive() -> dict[str, Any]:
        return next(left, {"type": "http.disconnect"})

    async def send(message: Any) -> None:
        sent.append(message)

    named = {"host": "127.0.0.1:4950", "origin": ADDRESS} | headers
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": [(k.encode(), v.encode()) for k, v in named.items()],
        "server": ("127.0.0.1", 4950),
        "client": ("127.0.0.1", 50000),
        "state": {},
    }
    asyncio.run(studio.browser.app(scope, receive, send))
    return sent


def status(sent: list[dict[str, Any]]) -> int:
    return sent[0]["status"]


class TestOrigin:
    @pytest.mark.parametrize(
        "origin",
        [
            "",
            "null",
            "http://evil.example",
            "https://127.0.0.1:4950",
            "http://127.0.0.1",
            "http://127.0.0.1:4951",
            "http://127.0.0.1:4950.evil.example",
            "http://[::1]:4950",
            "127.0.0.1:4950",
        ],
    )
    def test_a_change_sent_from_elsewhere_is_refused(self, studio: Studio, origin: str) -> None:
        answer = studio.browser.post("/clients/new", data=NEW, headers={"Origin": origin})
        assert answer.status_code == 403
        assert "was not sent from a page of the almanac itself" in Page(answer).words
        assert studio.rows(Client) == []

    def test_a_change_that_does_not_say_where_it_comes_from_is_refused(self, studio: Studio) -> None:
        del studio.browser.headers["Origin"]
        assert studio.browser.post("/clients/new", data=NEW).status_code == 403
        assert studio.rows(Client) == []

    @pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "TRACE"])
    def test_no_other_method_gets_past_it(self, studio: Studio, method: str) -> None:
        answer = studio.browser.request(method, "/clients/new", headers={"Origin": "null"})
        assert answer.status_code == 403

    def test_reading_needs_none(self, studio: Studio) -> None:
        del studio.browser.headers["Origin"]
        assert studio.browser.get("/").status_code == 200


class TestHost:
    @pytest.mark.parametrize(
        "host",
        ["evil.example", "evil.example:4950", "127.0.0.1", "127.0.0.1:80", "0.0.0.0:4950", "", "127.0.0.1:4950."],
    )
    def test_another_name_is_refused_whatever_is_asked(self, studio: Studio, host: str) -> None:
        answer = studio.browser.get("/", headers={"Host": host})
        assert answer.status_code == 421
        assert "Open it as 127.0.0.1" in answer.text
        assert studio.browser.post("/clients/new", data=NEW, headers={"Host": host}).status_code == 421
        assert studio.browser.get("/static/almanac.css", headers={"Host": host}).status_code == 421

    def test_localhost_is_ours_too(self, studio: Studio) -> None:
        own = {"Host": "localhost:4950", "Origin": "http://localhost:4950"}
        assert studio.browser.post("/clients/new", data=NEW, headers=own).status_code == 303


class TestSize:
    @pytest.fixture
    def small(self, tmp_path: Path) -> Iterator[Studio]:
        opened = open_studio(tmp_path / "small", max_upload_bytes=3_000_000)
        opened.ready_work()
        yield opened
        close_studio(opened)

    def test_an_announced_size_over_the_limit_is_refused(self, small: Studio) -> None:
        answer = small.browser.post(
            "/works/1/follow-ups/new", data={"card": "1"}, files={"photo": ("a.jpg", bytes(3_100_000))}
        )
        assert answer.status_code == 413
        assert "larger than 3 MB" in Page(answer).words
        assert small.photo_files() == []

    def test_an_unannounced_size_over_the_limit_is_refused_and_the_rest_is_read_away(self, small: Studio) -> None:
        pieces = [{"type": "http.request", "body": p, "more_body": True} for p in [HEAD, *[bytes(500_000)] * 9]]
        pieces.append({"type": "http.request", "body": b"", "more_body": False})
        taken: list[int] = []

        class Counted(list):
            def __iter__(self) -> Iterator[Any]:
                for piece in list.__iter__(self):
                    taken.append(1)
                    yield piece

        sent = raw(small, Counted(pieces), "/works/1/follow-ups/new", FORM)
        assert status(sent) == 413
        assert b"larger than 3 MB" in b"".join(m.get("body", b"") for m in sent)
        assert len(taken) == len(pieces)
        assert small.photo_files() == []

    @pytest.mark.parametrize("announced", ["-1", "many", "9" * 5000, "1e9", "٣"])
    def test_a_size_that_is_no_size_does_no_harm(self, studio: Studio, announced: str) -> None:
        message = {"type": "http.request", "body": b"alias=Robin", "more_body": False}
        form = {"content-type": "application/x-www-form-urlencoded", "content-length": announced}
        assert status(raw(studio, [message], "/clients/new", form)) in (303, 413)


FORM = {"content-type": "multipart/form-data; boundary=x"}
HEAD = b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n'


class TestBrokenOff:
    def test_a_browser_closed_while_it_sends_leaves_nothing_and_is_no_error(self, studio: Studio, work: int) -> None:
        started = [{"type": "http.request", "body": HEAD + draw_photo()[:9000], "more_body": True}]
        assert raw(studio, started, f"/works/{work}/follow-ups/new", FORM) == []
        assert studio.photo_files() == studio.rows(PhotoFile) == []
        assert studio.add_photo(work) == 1

    # Starlette leaves the file that never ended to the garbage collector.
    @pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
    def test_a_form_that_ends_too_soon_is_refused_in_a_sentence(self, studio: Studio, work: int) -> None:
        cut = [{"type": "http.request", "body": HEAD + draw_photo()[:9000], "more_body": False}]
        sent = raw(studio, cut, f"/works/{work}/follow-ups/new", FORM)
        assert status(sent) in (400, 422)
        assert b'role="alert"' in b"".join(m.get("body", b"") for m in sent)
        assert studio.photo_files() == []
        gc.collect()


class TestStrictHeaders:
    def test_every_kind_of_answer_carries_them(self, studio: Studio, measured: int) -> None:
        browser = studio.browser
        answers = {
            "page": browser.get("/"),
            "form refused": browser.post("/clients/new", data={"alias": ""}),
            "redirection": browser.post("/clients/new", data=NEW | {"alias": "Wren"}),
            "picture": browser.get("/photos/1/whole.jpg"),
            "style": browser.get("/static/almanac.css"),
            "script": browser.get("/static/upload.js"),
            "no such page": browser.get("/nowhere"),
            "no such style": browser.get("/static/nowhere.css"),
            "no such id": browser.get("/clients/x"),
            "wrong method": browser.delete("/clients/1"),
            "wrong origin": browser.post("/clients/new", headers={"Origin": "null"}),
            "wrong host": browser.get("/", headers={"Host": "evil.example"}),
            "health": browser.get("/health"),
        }
        wanted = [200, 422, 303, 200, 200, 200, 404, 404, 404, 405, 403, 421, 200]
        assert [a.status_code for a in answers.values()] == wanted
        for kind, answer in answers.items():
            assert {k: answer.headers.get(k) for k in STRICT_HEADERS} == STRICT_HEADERS, kind

    def test_even_an_error_nobody_foresaw_is_a_page_that_carries_them(
        self, studio: Studio, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def broken(*_: object) -> None:
            raise ZeroDivisionError

        monkeypatch.setattr("webapp.pages.clients.queries.client_called", broken)
        studio.browser._transport.raise_server_exceptions = False
        answer = studio.browser.post("/clients/new", data=NEW | {"alias": "Wren"})
        assert answer.status_code == 500
        page = Page(answer)
        assert "Something went wrong inside the almanac" in page.words
        assert page.fields["alias"] == "Wren"
        assert {k: answer.headers.get(k) for k in STRICT_HEADERS} == STRICT_HEADERS
        assert "ZeroDivisionError" not in answer.text

    def test_nothing_from_outside_and_nothing_inline_is_let_in(self) -> None:
        policy = dict(p.split(" ", 1) for p in STRICT_HEADERS["Content-Security-Policy"].split("; "))
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
        assert "unsafe" not in json.dumps(policy)

    def test_pages_need_nothing_from_outside_and_nothing_inline(self, studio: Studio, measured: int) -> None:
        for address in ("/", "/clients/1", "/works/1", "/follow-ups/1", "/follow-ups/1/marks", "/families", "/about"):
            text = studio.browser.get(address).text
            assert "http://" not in text.replace("http://www.w3.org", "")
            assert "https://" not in text
            for inline in ("<style", " style=", "<script>", " onclick", " onload", " onerror", "javascript:"):
                assert inline not in text, (address, inline)
