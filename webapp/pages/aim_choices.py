"""The colours that can be the aim of a work: its baselines, its measured photos, swatches, a spot on a photo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from sqlmodel import Session as DatabaseSession
from sqlmodel import col, select

from webapp.colorimetry.encodings import Floats
from webapp.colorimetry.measured import MeasuredColour
from webapp.drift.change import anchor
from webapp.pages.judgement import WorkVerdict, measured_pigment, measured_skin
from webapp.pages.measuring import Marks
from webapp.pages.render import plain_day
from webapp.photo.preview import crop_box
from webapp.photo.read import read_photo
from webapp.photo.spot import Spot, spot_colour
from webapp.records.photo_files import PhotoFiles
from webapp.records.queries import FollowUpRecord
from webapp.records.tables import Card, Pigment, Swatch


@dataclass(frozen=True)
class AimChoice:
    """A colour on offer: the key by which it is chosen, where it is from, in words, its CIELAB."""

    key: str
    source: str
    words: str
    lab: tuple[float, float, float]


def aim_choices(rows: DatabaseSession, verdict: WorkVerdict) -> list[AimChoice]:
    """Give every colour on offer but spots: baselines first, then photos, the latest first, then swatches."""
    present = present_skin(verdict)
    baselines = {c.baseline.key: c.cycle.session for c in verdict.cycles if c.baseline is not None}
    anchored = {p.reading.key: p.lab for c in verdict.cycles[-1:] for p in c.series}
    healing = {r.key for c in verdict.cycles for r in c.cycle.healing}
    offered, photos = [], []
    for item in reversed(verdict.record.follow_ups):
        if item.measurement is None:
            continue
        key = item.follow_up.id or 0
        lab = anchored.get(key)
        if lab is None:
            lab = beside(measured_pigment(item.measurement).lab, measured_skin(item.measurement), present)
        day = plain_day(item.follow_up.on_date)
        if key in baselines:
            session = baselines[key]
            words = f"the baseline of {day}, after the {session.kind} of {plain_day(session.on)}"
            offered.append(AimChoice(f"baseline-{key}", "baseline", words, _triple(lab)))
        else:
            words = f"the photo of {day}{', still healing then' if key in healing else ''}"
            photos.append(AimChoice(f"photo-{key}", "photo", words, _triple(lab)))
    return offered + photos + _swatches(rows)


def present_skin(verdict: WorkVerdict) -> MeasuredColour | None:
    """Give the bare skin that the present cycle's colours are told beside, None where there is none."""
    baseline = verdict.cycles[-1].baseline if verdict.cycles else None
    return None if baseline is None else baseline.skin


def beside(lab: Floats, skin: MeasuredColour | None, present: MeasuredColour | None) -> Floats:
    """Give a colour as it would read beside the present baseline's skin, by which the latest colour is told too."""
    return lab if skin is None or present is None else anchor(lab, skin.lab, present.lab)


def spot_choice(
    files: PhotoFiles, item: FollowUpRecord, card: Card, verdict: WorkVerdict, spot: Spot, max_pixels: int
) -> tuple[AimChoice, float]:
    """Give the colour of a spot on a measured photo, and the height of the balanced crop as a share of its width.

    Raises OSError, PhotoUnreadable or MarkUnusable where the photo cannot be had any more.
    """
    marks = Marks(item.follow_up.card_patches, item.follow_up.outline)
    photo = read_photo(files.content(item.photo.sha256), max_pixels)
    crop = crop_box(photo, np.asarray(marks.outline, dtype=float))
    lab = spot_colour(photo, crop, spot, marks.measure(photo, card).fit)
    skin = None if item.measurement is None else measured_skin(item.measurement)
    words = f"a spot on the photo of {plain_day(item.follow_up.on_date)}"
    shape = (crop.bottom - crop.top) / (crop.right - crop.left)
    return AimChoice("spot", "photo", words, _triple(beside(lab, skin, present_skin(verdict)))), shape


def _swatches(rows: DatabaseSession) -> list[AimChoice]:
    wanted = select(Swatch, Pigment).join(Pigment).where(col(Swatch.lab).is_not(None))
    found = rows.exec(wanted.order_by(col(Pigment.name), col(Swatch.on_date).desc()))
    return [
        AimChoice(f"swatch-{s.id}", "swatch", f"the swatch of {p.name}, {plain_day(s.on_date)}", _triple(s.lab))
        for s, p in found
        if s.lab is not None
    ]


def _triple(lab: Sequence[float] | Floats) -> tuple[float, float, float]:
    return (float(lab[0]), float(lab[1]), float(lab[2]))
