"""Reads an answered page as an artist would: what the fields hold, what is said to be wrong, the words."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any


class Page(HTMLParser):
    """A parsed page.

    `fields` gives every field's value by name (ticked ones alone, several joined by commas); `wrong` gives the
    sentence beside a field; `words` all text.
    """

    def __init__(self, answer: Any) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self.wrong: dict[str, str] = {}
        self.words = ""
        self._area = self._select = self._beside = ""
        assert answer.headers["content-type"].startswith("text/html"), answer.headers
        self.feed(answer.text)
        self.words = " ".join(self.words.split())

    def handle_starttag(self, tag: str, pairs: list[tuple[str, str | None]]) -> None:
        has = dict(pairs)
        name, value = has.get("name") or "", has.get("value") or ""
        if tag == "input" and has.get("type") in ("checkbox", "radio"):
            if "checked" in has:
                self.fields[name] = f"{self.fields[name]},{value}" if name in self.fields else value
        elif tag == "input" and has.get("type") != "file":
            self.fields[name] = value
        elif tag == "textarea":
            self._area, self.fields[name] = name, ""
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select and "selected" in has:
            self.fields[self._select] = value
        elif (has.get("id") or "").endswith("-wrong"):
            self._beside = (has.get("id") or "").removesuffix("-wrong")
            self.wrong[self._beside] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""
        elif tag == "select":
            self._select = ""
        elif tag == "span":
            self._beside = ""

    def handle_data(self, data: str) -> None:
        self.words += data + " "
        if self._area:
            self.fields[self._area] += data
        if self._beside:
            self.wrong[self._beside] += data


def refused(answer: Any, field: str) -> Page:
    """Give the page, having checked that it names this field alone, in a sentence, with status 422."""
    assert answer.status_code == 422, (answer.status_code, answer.text)
    page = Page(answer)
    assert list(page.wrong) == [field], page.wrong
    assert page.wrong[field].strip().endswith("."), page.wrong
    return page
