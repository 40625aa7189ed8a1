"""What demo_photos/studio.json tells of a demo work: its photos, their dates, cards and outlines."""

import json
from dataclasses import dataclass
from pathlib import Path

PHOTOS = Path(__file__).resolve().parents[2] / "demo_photos"


@dataclass(frozen=True)
class DemoPhoto:
    file: Path
    on: str
    patches: list
    outline: list

    @property
    def corners(self):
        """The corners round all patches, clockwise from the top left."""
        first, last = self.patches[0], self.patches[-1]
        return [first[0], last[1], last[2], first[3]]


@dataclass(frozen=True)
class DemoWork:
    session: dict
    family: str
    photos: list


def told():
    return json.loads((PHOTOS / "studio.json").read_text(encoding="utf-8"))


def demo_work(alias, site):
    story = told()
    client = next(c for c in story["clients"] if c["alias"] == alias)
    work = next(w for w in client["works"] if w["site"] == site)
    families = {p["name"]: p["family"] for p in story["pigments"]}
    photos = [DemoPhoto(PHOTOS / f["photo"], f["on"], f["card_patches"], f["outline"]) for f in work["follow_ups"]]
    session = work["sessions"][0]
    return DemoWork(session, families[session["pigments"][0]], photos)


def strip_values():
    """The L* a* b* of the demo's grey strip, a line a step, as an artist would type them."""
    card = max(told()["cards"], key=lambda c: len(c["patches"]))
    return "\n".join(" ".join(map(str, patch)) for patch in card["patches"])


def upright_box(corners, inset=0.06):
    """The box with level sides that lies wholly inside four corners, given as two opposite places."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    left, right, top, bottom = max(ax, dx), min(bx, cx), max(ay, by), min(cy, dy)
    across, down = (right - left) * inset, (bottom - top) * inset
    return (left + across, top + down), (right - across, bottom - down)
