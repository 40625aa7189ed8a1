"""What is asked before work: common practice, no source; answers belong to a doctor where one is a yes."""

from __future__ import annotations

from collections.abc import Mapping

QUESTIONS: Mapping[str, str] = {
    "pregnant": "Pregnant or breastfeeding",
    "blood": "Blood thinners, or bleeding that is slow to stop",
    "diabetes": "Diabetes, or wounds that heal slowly",
    "immune": "A weakened immune system, or medicine that weakens it",
    "skin": "A skin disease on or near the place: eczema, psoriasis, acne, rosacea",
    "mole": "A mole, a lesion or anything that grows on the place",
    "scars": "Scars that grow thick (keloids)",
    "allergies": "Allergies: metals, anaesthetics, latex, colourants, earlier tattoos",
    "retinoids": "Retinoids, peels or laser on the face in the last months",
    "cold_sores": "Cold sores or another infection now",
    "eyes": "Eye disease, eye surgery, lash extensions (for eyeliner)",
    "heart": "A heart condition, a pacemaker, high blood pressure, epilepsy",
    "unwell": "Fever, alcohol or sunburn today",
    "patch_test": "Patch test done, and its outcome",
}
"""The questions by the key under which an answer is kept. Common practice, no source; local law and doctors rule."""
ANSWERS = ("no", "yes", "not asked")


def answer(word: str, detail: str) -> str:
    """Give an answer as it is kept: "no", "yes: detail", or "" where it was not asked and nothing was said."""
    if word == "not asked":
        return detail
    return f"{word}: {detail}" if detail else word


def parted(kept: str) -> tuple[str, str]:
    """Give the word and the detail of a kept answer, the other way round from `answer`."""
    for word in ("no", "yes"):
        if kept == word:
            return word, ""
        if kept.startswith(f"{word}: "):
            return word, kept.removeprefix(f"{word}: ")
    return "not asked", kept


def needs_care(answers: Mapping[str, str]) -> list[str]:
    """Give the questions that were answered with yes, but for the patch test, in the order of asking."""
    asked = [*QUESTIONS, *(key for key in answers if key not in QUESTIONS)]
    return [key for key in asked if key != "patch_test" and parted(answers.get(key, ""))[0] == "yes"]
