"""The people and the pigment of the simulation: measured skin, invented layers of the three families."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from demo_scene.skin_data import SKIN_REFLECTANCE
from demo_scene.spectra import COMPONENTS, WAVELENGTHS, Floats, skin

FAMILIES = {
    "carbon/organic": {"carbon": 0.9, "organic orange": 0.1},
    "inorganic": {"black oxide": 0.35, "yellow oxide": 0.3, "red oxide": 0.35},
    "hybrid": {"carbon": 0.4, "yellow oxide": 0.25, "red oxide": 0.35},
}


@dataclass(frozen=True)
class Layers:
    """Reflectance (31,) of one person's bare skin, and absorbance (31,) of the pigment at full depth."""

    bare: Floats
    absorbance: Floats


def read_people(table: Path | None) -> dict[str, Floats]:
    """Skin reflectance by subject: a table's (wavelength_nm, subject_…), or the eight that the repository carries."""
    if table is None:
        return {subject: skin(subject) for subject in SKIN_REFLECTANCE}
    lines = [s for s in table.read_text(encoding="utf-8").splitlines() if s and not s.startswith("#")]
    names = lines[0].split(",")[1:]
    rows = np.array([[float(v) for v in line.split(",")] for line in lines[1:]])
    return {name: np.interp(WAVELENGTHS, rows[:, 0], rows[:, i + 1]) for i, name in enumerate(names)}


def draw_layers(rng: np.random.Generator, people: dict[str, Floats]) -> Layers:
    """One of the people, one of the families, some strength."""
    bare = people[str(rng.choice(list(people)))]
    mixture = FAMILIES[str(rng.choice(list(FAMILIES)))]
    absorbance = np.sum([share * COMPONENTS[name] for name, share in mixture.items()], axis=0)
    return Layers(bare, rng.uniform(0.25, 1.2) * absorbance)
