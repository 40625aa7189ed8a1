"""Signs by which a label's parts are known: numbers, shares, headings, statements."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from webapp.pigments.colour_index import Colourant, colourants, read_table, with_generic_name
from webapp.pigments.label_parts import MAY_CONTAIN
from webapp.pigments.names import folded

_DIGITS = r"(?P<number>\d{5,6}|\d{2}[ .]\d{3}|\d{3}[ .]\d{2})(?:\s?:\s?(?P<form>\d{1,2}))?(?![\d-]\d)(?!\d)"
_WITH_PREFIX = re.compile(
    # The capital I is often read as a small l or a one when a label is scanned.
    r"(?<![A-Za-z])(?:c\s?\.?\s?[il1|]\s?\.?|colou?r[\s-]*index|farb[\s-]?index|indice\s+de\s+couleur|"
    r"índice\s+de\s+color|indice\s+colore|indeks\s+barwy)\s*[-_:#]?\s*(?:n(?:o|r|um|°|º)?\s*[.:]?\s*)?[(]?\s*"
    + _DIGITS,
    re.IGNORECASE | re.ASCII,
)
_BARE = re.compile(r"(?<![\w.,-])" + _DIGITS, re.ASCII)
_CAS = re.compile(r"(?<![\d-])\d{2,7}-\d{2}-\d(?![\d-])", re.ASCII)
_SHARE = re.compile(r"(?<![\d.,<>≤≥~–-])(?<![<>≤≥~–-]\s)(\d{1,3}(?:[.,]\d{1,4})?)\s*%", re.ASCII)
_HUES = {
    "red": "red rot rouge rojo rosso czerwony rood rod vermelho",
    "yellow": "yellow gelb jaune amarillo giallo zolty geel gul amarelo",
    "orange": "orange naranja arancione pomaranczowy oranje laranja arancio",
    "violet": "violet violett violeta viola fioletowy paars",
    "blue": "blue blau bleu azul blu niebieski blauw bla",
    "green": "green grun vert verde zielony groen gron",
    "brown": "brown braun brun marron bruno brazowy bruin",
    "black": "black schwarz noir negro nero czarny zwart sort preto",
    "white": "white weiss blanc blanco bianco bialy wit hvid branco",
}
_SHORT = {"R": "red", "Y": "yellow", "O": "orange", "V": "violet", "B": "blue", "G": "green"}
_SHORT |= {"Br": "brown", "Bk": "black", "BK": "black", "W": "white"}
_HUE_OF = {word: hue for hue, words in _HUES.items() for word in words.split()}
_GENERIC = re.compile(
    r"\b(?P<group>pigment[oe]?|natural|naturlich)\s?(?P<hue>" + "|".join(_HUE_OF) + r")\s?(?P<serial>\d{1,3})\b"
)
_ABBREVIATED = re.compile(
    r"(?<![A-Za-z])P\.?\s?(?P<hue>Br|Bk|BK|R|Y|O|V|B|G|W)\.?\s?(?P<serial>\d{1,3})(?!\d|,\d|-\d)", re.ASCII
)
_HEADING = re.compile(
    r"\s*((?:list of |full )?(?:ingredients?|inci|composition|contents|constituents|zusammensetzung|inhaltsstoffe|"
    r"bestandteile|ingrédients|composición|ingredientes|ingredienti|composizione|skład|składniki|ingrediënten|"
    r"samenstelling|innehåll|ingredienser|indholdsstoffer|colou?rants?|pigments?|farbmittel|farbstoffe|pigmente|"
    r"colorantes?|coloranti|barwniki|pigmenty|solvents?|binders?|preservatives?|contains|enthält)"
    r"(?:\s*[(/]\s*[\w .]+[)]?)?\s*[:：])",
    re.IGNORECASE,
)
_AMOUNT_OR_AGE = re.compile(r"(?:pao )?(?:\d{1,2} ?m|\d+(?: \d+)? ?ml)\b|pao\b", re.ASCII)


@dataclass(frozen=True)
class Mention:
    """A Colour Index number in a text, such as 77491 or 15850:1, and where it begins."""

    number: str
    start: int


def number_mentions(text: str) -> list[Mention]:
    """Give the Colour Index numbers that a text names, in order.

    A number without "CI" before it counts where the table has it and it is inorganic, or where hardly a word stands
    beside it: others are more likely post codes.
    """
    found = [Mention(_number(m), m.start()) for m in _WITH_PREFIX.finditer(text)]
    spans = [m.span() for m in _WITH_PREFIX.finditer(text)]
    wordless = bool(found) or not any(c.isalpha() for c in text)
    for match in _BARE.finditer(text):
        base = _number(match).partition(":")[0]
        if any(first <= match.start() < last for first, last in spans) or base not in colourants():
            continue
        if wordless or int(base) >= 77000:
            found.append(Mention(_number(match), match.start()))
    return sorted(found, key=lambda m: m.start)


def _number(match: re.Match[str]) -> str:
    digits = re.sub(r"[ .]", "", match["number"])
    return f"{digits}:{match['form']}" if match["form"] else digits


def cas_numbers(text: str) -> list[str]:
    """Give what looks like CAS numbers."""
    return _CAS.findall(text)


def generic_colourant(text: str) -> Colourant | None:
    """Give the colourant of a Colour Index name in a text: "Pigment Red 101", "Pigmento rojo 101", "PR 101"."""
    for found in _GENERIC.finditer(folded(text)):
        group = "Natural" if found["group"].startswith("nat") else "Pigment"
        line = with_generic_name(f"{group} {_HUE_OF[found['hue']]} {found['serial']}")
        if line is not None:
            return line
    for found in _ABBREVIATED.finditer(text):
        line = with_generic_name(f"Pigment {_SHORT[found['hue']]} {found['serial']}")
        if line is not None:
            return line
    return None


def share_of(text: str) -> float | None:
    """Give the one share by weight that is printed; None for none, several, a range or a limit."""
    found = _SHARE.findall(text)
    value = float(found[0].replace(",", ".")) if len(found) == 1 else 101.0
    return value if value <= 100 and text.count("%") == 1 else None


def name_alone(text: str) -> str:
    """Give a text without its numbers and shares: what is left is the name."""
    for sign in (_CAS, re.compile(r"(?<![\d-])\d{3}-\d{3}-\d(?![\d-])", re.ASCII), _WITH_PREFIX, _SHARE):
        text = sign.sub(" ", text)
    text = re.sub(r"\b(?:cas|ec|eg|ce|einecs|we)\b[\s-]*(?:n(?:o|r|°|º)\b)?\.?\s*:?", " ", text, flags=re.IGNORECASE)
    text = re.sub(r"\(\s*[,;:/]*\s*\)|\[\s*[,;:/]*\s*\]", " ", text)
    return text.strip()


def split_heading(text: str) -> tuple[str, str]:
    """Give the heading that a part begins with, such as "Ingredients:", or "", and the rest."""
    found = _HEADING.match(text)
    return (text[: found.end()].strip(), text[found.end() :].strip()) if found else ("", text)


def split_optional(text: str) -> tuple[str, str]:
    """Give the mark of what may be contained that a part begins with, or "", and the rest."""
    found = MAY_CONTAIN.match(text)
    if found is None or not found[0].strip(" :([{"):
        return "", text
    return found[0].strip(), text[found.end() :]


def statement(text: str) -> bool:
    """Say whether a part is no constituent but says something else, such as the batch or a warning."""
    words = folded(text)
    return _statements().match(words) is not None or _AMOUNT_OR_AGE.match(words) is not None


@cache
def _statements() -> re.Pattern[str]:
    """The beginnings of statements as labels print them; a star stands for the rest of a word."""
    beginnings = (words for line in read_table("statement_beginnings.csv") for words in line["words"].split("|"))
    return re.compile(
        "|".join(re.escape(w).replace(r"\*", "") + ("" if w.endswith("*") else r"\b") for w in beginnings)
    )
