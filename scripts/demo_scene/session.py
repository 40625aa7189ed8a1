"""Chance in taking a photo: each visit gets its own frame, light and camera from its own seed."""

from __future__ import annotations

import zlib

import numpy as np

from demo_scene import card
from demo_scene.ageing import Course, Dose
from demo_scene.shot import Shot
from demo_scene.spectra import Floats
from demo_scene.studio import PIGMENTS, Client, Visit, Work

LAMPS = ("D50", "D55", "D65", "LED-B3", "LED-B4", "D55", "LED-V2", "FL3.8")
CARDS = {"single": card.SINGLE, "plain": card.PLAIN, "steps": card.STEPS}


def course_of(work: Work) -> Course:
    doses = []
    for s in work.sessions:
        total: dict[str, float] = {}
        for name in s.pigments:
            for part, amount in PIGMENTS[name].amounts.items():
                total[part] = total.get(part, 0.0) + s.strength * amount / len(s.pigments)
        doses.append(Dose(s.on, total))
    return Course(doses, work.hold, work.ash, work.faster)


def photo_name(client: Client, work: Work, visit: Visit) -> str:
    return f"{client.alias}-{work.site}-{visit.on.isoformat()}.jpg".lower().replace(" ", "-")


def _light(rng: np.random.Generator) -> Floats:
    side = rng.uniform(0.15, 0.55) * rng.choice([-1, 1])
    direction = np.array([side, -rng.uniform(0.25, 0.65), 0.85])
    unit: Floats = direction / np.linalg.norm(direction)
    return unit


def shot_of(client: Client, work: Work, visit: Visit) -> Shot:
    seed = zlib.crc32(photo_name(client, work, visit).encode())
    rng = np.random.default_rng(seed)
    brow = work.site.endswith("brow")
    mirror = work.site.startswith("right")
    kind = CARDS[visit.card]
    # Warm lamps and window light throw the phone's balance off differently each time.
    balance = np.exp(rng.normal(0, [0.045, 0.008, 0.065]))
    if visit.fault == "orange cast":
        balance = np.array([1.42, 1.0, 0.50])
    wide = visit.card == "steps"
    if brow:
        centre = (rng.uniform(-1.5, 2.5), -3.6 + rng.uniform(-0.9, 0.9))
        card_at = (rng.uniform(-4, 13) if not wide else rng.uniform(-3, 6), -21.3 + rng.uniform(-0.8, 0.8))
        base = 11.1
    else:
        centre = (2.0 + rng.uniform(-1.5, 1.5), 4.5 + rng.uniform(-1, 1))
        card_at = (rng.uniform(6, 15) if not wide else rng.uniform(1, 5), 19.5 + rng.uniform(-0.6, 1.2))
        base = 13.4
    dark = min(0.35, 0.45 * client.skin.melanin)
    return Shot(
        width=880,
        height=660,
        scale=base * rng.uniform(0.93, 1.09),
        turn=float(np.radians(rng.uniform(-7.5, 7.5))),
        centre=centre,
        mirror=mirror,
        light=_light(rng),
        fill=rng.uniform(0.28, 0.48),
        lamp=str(rng.choice(LAMPS)) if visit.fault != "orange cast" else "LED-B2",
        camera=int(rng.random() < 0.4),
        exposure=float((1.0 + dark) * np.exp(rng.normal(0, 0.13))) * (0.92 if wide else 1.0),
        balance=(float(balance[0]), 1.0, float(balance[2])),
        gradient=(rng.uniform(-0.035, 0.035), rng.uniform(-0.035, 0.02)),
        flare=rng.uniform(0.001, 0.009),
        noise=rng.uniform(0.005, 0.011),
        tone=0.0 if rng.random() < 0.65 else rng.uniform(0.004, 0.012),
        focus=0.0 if visit.fault != "blurred" else 3.2,
        vignette=rng.uniform(0.04, 0.14),
        sheen=rng.uniform(0.6, 1.05),
        quality=80,
        card=kind,
        card_at=card_at,
        card_turn=float(np.radians(rng.uniform(-11, 11))),
        card_squeeze=rng.uniform(0.93, 1.0),
        card_light=rng.uniform(0.97, 1.03),
        keystone=(rng.uniform(-0.0012, 0.0012), rng.uniform(-0.0015, 0.0015)),
        seed=seed,
        half_shadow=visit.fault == "half shadow",
        tan=visit.tan + float(rng.normal(0, 0.012)),
        flush=float(rng.normal(0.0, 0.035)),
        healing=visit.healing,
        spread=0.0,
    )
