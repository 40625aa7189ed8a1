"""How wide a line of text is in the sans-serif letters of the client's sheet, and where it is to be broken."""

from __future__ import annotations

import re
import unicodedata

FACE = "Liberation Sans, Arial, Helvetica, sans-serif"
"""Letters of one width: Liberation Sans was drawn to the widths of the others, and the SVG renderer brings it along."""
_WIDTHS = (
    *(278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278),
    *(556,) * 10,
    *(278, 278, 584, 584, 584, 556, 1015),
    *(667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611),
    *(722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333),
    *(556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278),
    *(556, 500, 722, 500, 500, 500, 334, 260, 334, 584),
)
"""Widths of the signs from space to tilde in thousandths of the size. From memory; a test holds them against ink."""
_OTHER, _WIDE, _BOLD = 620, 1000, 1.08


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Give the width of a line in the units of `size`; of signs that are not in the table rather too much."""
    return sum(_width(sign) for sign in text) * size / 1000 * (_BOLD if bold else 1.0)


def _width(sign: str) -> float:
    base = unicodedata.normalize("NFKD", sign)[:1] or sign
    if " " <= base <= "~":
        return _WIDTHS[ord(base) - 32]
    if unicodedata.combining(base):
        return 0
    return _WIDE if unicodedata.east_asian_width(base) in "WF" else _OTHER


def broken(text: str, size: float, width: float, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than `width`: between words, and inside one only where it alone is too wide.

    What a no-break space joins counts as one word.
    """
    lines: list[str] = []
    for paragraph in text.splitlines() or [""]:
        line = ""
        for word in re.findall(r"[^ \t]+", paragraph):
            joined = f"{line} {word}" if line else word
            if text_width(joined, size, bold) <= width:
                line = joined
                continue
            if line:
                lines.append(line)
            line = word
            while text_width(line, size, bold) > width and len(line) > 1:
                fits = _that_fit(line, size, width, bold)
                lines.append(line[:fits])
                line = line[fits:]
        lines.append(line)
    return lines


def _that_fit(word: str, size: float, width: float, bold: bool) -> int:
    """Give how many of a word's signs fit, fewer than all and one at least."""
    count = len(word) - 1
    while count > 1 and text_width(word[:count], size, bold) > width:
        count -= 1
    return count
