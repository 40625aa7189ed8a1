"""What the name of a photo and of its folders says: whose it is, which site, and which day."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from webapp.records.folding import folded
from webapp.records.words import SITES

_SIDES = {
    "left": ("left", "l", "lt", "links", "li", "gauche", "izquierda", "sinistra"),
    "right": ("right", "r", "rt", "rechts", "re", "droite", "derecha", "destra"),
}
_PLACES = {
    "brow": ("b", "brow", "brows", "eyebrow", "eyebrows", "braue", "brauen", "augenbraue", "augenbrauen", "sourcil"),
    "upper eyeliner": ("upper", "top", "oben", "oberlid", "ul", "ue"),
    "lower eyeliner": ("lower", "bottom", "unten", "unterlid", "ll", "le"),
    "eyeliner": ("eyeliner", "liner", "eye", "eyelid", "lidstrich", "auge"),
}
"""Words for sides and places in English, German, French, Spanish, Italian, and their initials: common practice, no
source."""
_ALONE_TOO_SHORT = frozenset(("b", "ul", "ue", "ll", "le"))
"""Initials that name a place only behind a side's: lb, rul; and not words of many a language by themselves."""
_TOKEN = re.compile(r"[^\W\d_]+|\d+")
_HUMP = re.compile(r"(?<=[a-zß-öø-ÿ])(?=[A-ZÀ-ÖØ-Þ])")
_DAYS = (
    (re.compile(r"(?<!\d)((?:19|20)\d\d)([-_. ]?)([01]\d)\2([0-3]\d)(?!\d)"), (1, 3, 4)),
    (re.compile(r"(?<!\d)([0-3]?\d)\.([01]?\d)\.((?:19|20)\d\d)(?!\d)"), (3, 2, 1)),
)
"""Year first, with one separator or none; or day first with full stops. Other orders are ambiguous and not read."""
_LONGEST_RUN = 8


@dataclass(frozen=True)
class NameRead:
    """What a name says: the client's id (None: nobody, or several), the sites it leaves open, and the day."""

    client_id: int | None
    sites: frozenset[str]
    day: date | None


def index_of_aliases(clients: Iterable[tuple[int, str]]) -> dict[str, int | None]:
    """Give clients by their alias as it is compared: letters and digits alone; None where two would be alike."""
    index: dict[str, int | None] = {}
    for key, alias in clients:
        joined = "".join(_tokens(alias))
        if joined:
            index[joined] = None if joined in index else key
    return index


def read_name(path: str, aliases: Mapping[str, int | None]) -> NameRead:
    """Read a photo's path, folders first, as in "Robin/2024-03-12 left brow.jpg".

    An alias counts as whole words, capitals, accents and separators apart; of two that overlap the longer counts;
    two different ones leave the client open. An alias of one letter or of digits alone counts only where nothing
    else but a day and a site stands beside it, since cameras number their photos. Sites are all those that agree
    with the words found; contradicting words leave none.
    """
    folders = path.replace("\\", "/").split("/")
    folders[-1] = re.sub(r"\.[^.]{1,5}$", "", folders[-1])
    day: date | None = None
    clients: set[int | None] = set()
    rest: list[str] = []
    for part in reversed(folders):  # the file's own name knows its day better than the folder
        found, without = _day_in(part)
        day = day or found
        tokens = _tokens(without)
        here, left = _clients_in(tokens, aliases)
        clients |= here
        rest += left
    return NameRead(clients.pop() if len(clients) == 1 else None, _sites_meant(rest), day)


def site_among(meant: Collection[str], of_client: Collection[str]) -> str:
    """Give the one site that is meant and at which the client has a work; "" where there is none or a choice."""
    both = set(meant) & set(of_client)
    return both.pop() if len(both) == 1 else ""


def _tokens(text: str) -> list[str]:
    return _TOKEN.findall(folded(_HUMP.sub(" ", text)))


def _day_in(part: str) -> tuple[date | None, str]:
    """Give the day that is written in a part of a path, and the part without it."""
    for pattern, order in _DAYS:
        for match in pattern.finditer(part):
            try:
                day = date(*(int(match[group]) for group in order))
            except ValueError:
                continue
            return day, f"{part[: match.start()]} {part[match.end() :]}"
    return None, part


def _clients_in(tokens: list[str], aliases: Mapping[str, int | None]) -> tuple[set[int | None], list[str]]:
    """Give whom a part names, and the tokens that name nobody."""
    runs = []
    for start in range(len(tokens)):
        joined = ""
        for end in range(start, min(start + _LONGEST_RUN, len(tokens))):
            joined += tokens[end]
            if joined in aliases and _counts(joined, tokens[:start] + tokens[end + 1 :]):
                runs.append((start, end + 1, aliases[joined]))
    longest = [r for r in runs if not any(_inside(r, other) for other in runs)]
    taken = {place for start, end, _ in longest for place in range(start, end)}
    return {client for _, _, client in longest}, [t for i, t in enumerate(tokens) if i not in taken]


def _inside(run: tuple[int, int, int | None], other: tuple[int, int, int | None]) -> bool:
    return run[:2] != other[:2] and other[0] <= run[0] and run[1] <= other[1]


def _counts(joined: str, beside: list[str]) -> bool:
    if len(joined) > 1 and not joined.isdecimal():
        return True
    return all(token in _site_words() for token in beside)


@lru_cache(maxsize=1)
def _site_words() -> dict[str, tuple[str, str]]:
    """Give every word for a side, a place or both, as (side, place), "" for what it leaves open."""
    words = {word: (side, "") for side, called in _SIDES.items() for word in called}
    words |= {w: ("", place) for place, called in _PLACES.items() for w in called if w not in _ALONE_TOO_SHORT}
    for side, sides in _SIDES.items():
        for place, places in _PLACES.items():
            words |= {a + b: (side, place) for a in sides for b in places if (len(a) == 1) == (len(b) <= 2)}
    return words


def _sites_meant(tokens: Iterable[str]) -> frozenset[str]:
    sites = frozenset(SITES)
    for token in tokens:
        side, place = _site_words().get(token, ("", ""))
        sites = frozenset(s for s in sites if s.startswith(side) and s.endswith(place))
    return sites
