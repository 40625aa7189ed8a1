"""A label's text cut into its parts: at separators that stand outside brackets."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

_OPEN, _CLOSE = "([{", ")]}"
_ALWAYS = ";\n•·|"
MAY_CONTAIN = re.compile(
    r"[(\[{\s]*(?:may\s+contain|kann\s+enthalten|peut\s+contenir|puede\s+contener|puo'?\s+contenere|può\s+contenere|"
    r"może\s+zawierać|kan\s+bevatten)?[\s:]*(?:[(\[{]?\s*(?:\+\s*/\s*[-–−]|±)\s*[)\]}]?)?[\s:]*",
    re.IGNORECASE,
)
JUNK = " \t\r\n*•·-–—−.,;:|/&"
_MARK = re.compile(r"[(\[{]?\s*(?:\+\s*/\s*[-–−]|±)")
_ENDS_WORD = re.compile(r"[^\W\d_][\w-]{4,}$")
_NEXT_SENTENCE = re.compile(r"\s+[A-ZÀ-ÖØ-Þ]")


@dataclass(frozen=True)
class Piece:
    """A part of a label; `optional` parts stand in a bracket of what the mixture may contain."""

    text: str
    after_line_break: bool = False
    optional: bool = False


def split_label(text: str) -> list[Piece]:
    """Cut a label's text; parts without any letter or digit are left out.

    Commas inside a number ("12,5 %", "1,2-hexanediol") and separators inside brackets do not cut. A bracket of what
    may be contained, "[+/- …]", and one round a whole part are opened up.
    """
    text = re.sub(r"\r\n?|[\v\f\x1c-\x1f\x85\u2028\u2029]", "\n", text)
    return list(_split(re.sub(r"[^\S\n]", " ", text)))


def without_lone_brackets(text: str) -> str:
    """Give a text without the brackets whose partner is missing, on one line, its ends tidied."""
    paired = {i for span in _pairs(text) for i in span}
    kept = (sign if sign not in _OPEN + _CLOSE or i in paired else " " for i, sign in enumerate(text))
    tidy = " ".join("".join(kept).split())
    while tidy != (tidy := tidy.lstrip(JUNK).rstrip(JUNK)):
        pass
    return tidy


def _split(text: str) -> Iterator[Piece]:
    pairs = _pairs(text)
    opened = [pair for pair in pairs if _is_optional_group(text, *pair)]
    inside = [False] * (len(text) + 1)
    for first, last in pairs:
        if (first, last) not in opened:
            inside[first + 1 : last] = [True] * (last - first - 1)
    edges = {i for pair in opened for i in pair}
    start, broke = 0, False
    for i in range(len(text) + 1):
        if i < len(text) and (inside[i] or not (i in edges or _cuts(text, i))):
            continue
        part = without_lone_brackets(text[start:i])
        if any(c.isalnum() for c in part):
            whole = _pairs(part)[-1:] == [(0, len(part) - 1)]
            pieces = list(_split(part[1:-1])) if whole else [Piece(part)]
            optional = any(first < start <= last for first, last in opened)
            for number, piece in enumerate(pieces):
                yield replace(piece, after_line_break=broke and number == 0, optional=optional or piece.optional)
            broke = False
        keeps_sign = i < len(text) and i not in edges and _MARK.match(text, i) is not None
        start = i if keeps_sign else i + 1
        if i < len(text):
            broke = text[i] == "\n"


def _cuts(text: str, i: int) -> bool:
    """Whether a sign separates two parts."""
    if text[i] in _ALWAYS or _MARK.match(text, i) is not None:
        return True
    if text[i] == ".":  # the end of a sentence, not of "C.I." or "dest."
        return _ENDS_WORD.search(text, 0, i) is not None and _NEXT_SENTENCE.match(text, i + 1) is not None
    if text[i] != ",":
        return False
    before, after = text[max(i - 5, 0) : i], text[i + 1 : i + 6]
    if before[-1:].isdigit() and after[:1].isdigit():
        # "77491,77492" are two numbers; "12,5" and "1,2-hexanediol" are none.
        return len(before) == len(after) == 5 and before.isdigit() and after.isdigit()
    return True


def _pairs(text: str) -> list[tuple[int, int]]:
    """Give the places of matching brackets, each pair after those inside it."""
    pairs: list[tuple[int, int]] = []
    stack: list[int] = []
    for i, sign in enumerate(text):
        if sign in _OPEN:
            stack.append(i)
        elif sign in _CLOSE:
            # A bracket that is never closed must not keep those around it from being.
            at = next((k for k in reversed(stack) if _OPEN.index(text[k]) == _CLOSE.index(sign)), None)
            if at is not None:
                del stack[stack.index(at) :]
                pairs.append((at, i))
    return pairs


def _is_optional_group(text: str, first: int, last: int) -> bool:
    mark = MAY_CONTAIN.match(text, first + 1, last)
    return mark is not None and bool(mark[0].strip(" \n:([{")) and any(c.isalnum() for c in text[mark.end() : last])
