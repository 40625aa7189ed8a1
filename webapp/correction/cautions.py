"""What to bear in mind before a correction or a new work. Common practice, no source; calm, and never an order."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """A heading of a few words and the sentences under it."""

    heading: str
    text: str


FRAGILE_WORDS = ("thin", "mature", "fragile", "elderly", "aged skin", "crepey")
"""Words in the skin notes that speak of thin or mature skin."""


def is_fragile(skin_words: str) -> bool:
    """Say whether notes or a skin kind, as entered, speak of thin or mature skin."""
    padded = f" {' '.join(skin_words.casefold().replace(',', ' ').replace(';', ' ').split())} "
    return any(f" {word} " in padded for word in FRAGILE_WORDS)


def cautions(site: str, skin_words: str, carbon_offered: bool) -> tuple[Caution, ...]:
    """Give the cautions that apply to a site, to skin as it is described, and to what is on offer."""
    found = []
    if "eyeliner" in site:
        found.append(
            Caution(
                "Eyelid",
                "Eyelid skin is the thinnest there is: small carbon particles can spread in it, and what has spread "
                "cannot be covered. Less pigment, less depth, and stopping at any doubt are the usual choice near the "
                "eye.",
            )
        )
    if is_fragile(skin_words):
        found.append(
            Caution(
                "Thin or mature skin",
                "It takes pigment deeper and unevenly. A lighter, diluted, inorganic choice and one thin pass, looked "
                "at when healed, are the usual way.",
            )
        )
    if carbon_offered:
        found.append(
            Caution(
                "Carbon over what is there",
                "Carbon stays for years and tends to heal cool, the more so when dense. Once too dense, removal is the "
                "only way back.",
            )
        )
    return tuple(found)


BEGINNER = Caution(
    "If corrections are new to you",
    "A colour that is wrong looks as if it only needed its opposite, and every layer makes it deeper as well. The "
    "usual way is one thin layer, at least four weeks of healing, a new photo beside the card, and only then the next. "
    "Someone who corrects every week is worth asking before the first one.",
)
