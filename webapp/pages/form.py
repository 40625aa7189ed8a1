"""Forms: what was entered, what of it is sound, and what is wrong with the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from starlette.datastructures import FormData

_LONGEST = 2000


class Form:
    """The entries of a form, kept as they were typed, and a sentence for each field that is wrong."""

    def __init__(self, entries: FormData | Mapping[str, str] | None = None) -> None:
        """Take what was sent, or what a new form starts with."""
        self.entries = entries or {}
        self.errors: dict[str, str] = {}

    def __getitem__(self, name: str) -> str:
        """Give an entry as typed, for the page to show again."""
        value = self.entries.get(name, "")
        # Half a surrogate pair can be sent, but neither stored nor shown.
        return value.encode(errors="replace").decode() if isinstance(value, str) else ""

    def all(self, name: str) -> list[str]:
        """Give all the entries of a field that may be ticked more than once."""
        if isinstance(self.entries, FormData):
            return [v for v in self.entries.getlist(name) if isinstance(v, str)]
        return [v for v in self[name].split(",") if v]

    def texts(self) -> list[tuple[str, str]]:
        """Give every entry that is a text, as typed, in order; none where a file was sent along."""
        pairs = self.entries.multi_items() if isinstance(self.entries, FormData) else list(self.entries.items())
        return [(k, v) for k, v in pairs if isinstance(v, str)] if all(isinstance(v, str) for _, v in pairs) else []

    @property
    def sound(self) -> bool:
        """Whether nothing was found wrong."""
        return not self.errors

    def text(self, name: str, required: str = "", longest: int = _LONGEST) -> str:
        """Give a text; `required` is the sentence for an empty one."""
        value = self[name].strip()
        if required and not value:
            self.errors[name] = required
        elif len(value) > longest:
            self.errors[name] = f"This is {len(value)} characters long; at most {longest} fit. Shorten it."
        return value

    def choice(self, name: str, options: Sequence[str]) -> str:
        """Give one of the options, "" and an error where something else was sent."""
        if self[name] in options:
            return self[name]
        self.errors[name] = "Choose one from the list."
        return ""

    def day(self, name: str, earliest: date | None = None, before: str = "", today: date | None = None) -> date:
        """Give a date that is not in the future and not before `earliest`, which `before` explains."""
        try:
            value = date.fromisoformat(self[name].strip())
        except ValueError:
            self.errors[name] = "Give the date as year-month-day, for example 2026-03-14."
            return date.today()
        if value > (today or date.today()):
            self.errors[name] = "This date is in the future. Check the day, month and year."
        elif value.year < 1990:
            self.errors[name] = "This date lies before 1990. Check the year."
        elif earliest is not None and value < earliest:
            self.errors[name] = before
        return value

    def number(self, name: str, low: float, high: float) -> float:
        """Give a number between two bounds; a decimal comma is understood."""
        try:
            value = float(self[name].strip().replace(",", ".").replace("−", "-"))
        except ValueError:
            value = float("nan")
        if not low <= value <= high:
            self.errors[name] = f"Give a number from {low:g} to {high:g}."
        return value
