"""The sentence above each chart of a cycle: what it shows, in words that an artist reads first."""

from __future__ import annotations

from webapp.drift.judging import signed
from webapp.drift.rate import Rate
from webapp.pages.judgement import CycleVerdict


def chart_words(judged: CycleVerdict, name: str) -> str:
    """Give the sentence of a chart; empty where the chart has nothing to show."""
    latest, trend = judged.latest, judged.trend
    if latest is None:
        return ""
    change = latest.comparison.best
    if name == "difference":
        if change.real:
            return f"The latest photo differs by ΔE00 {change.delta_e:.1f}; up to {change.limit:.1f}, grey, is noise."
        return f"No measurable change: ΔE00 {change.delta_e:.1f}, within the grey band of noise."
    if name == "path":
        return "From baseline to latest; inside the grey disc nothing can be told from noise."
    if name == "density" and latest.density is None:
        return ""
    if trend is None:
        return "One photo shows no rate yet; the grey band is noise."
    if name == "density":
        if trend.fading is None:
            return "There is too little density at the baseline to follow its fading."
        lost = max(trend.fading.share_lost(trend.fading.rate.span)[0], 0) * 100
        found = "Fading" if trend.fading.rate.sure else "No sure fading"
        return f"{found}: {lost:.0f} % less than at the baseline. Dashed: the fading curve; grey: noise."
    if name == "warmth":
        return (
            f"{_said(trend.own_warmth, 'warmer', 'cooler')} beyond fading. Dashed: what mere fading would have done; "
            "grey: noise."
        )
    if name == "lightness":
        return f"{_said(trend.lightness, 'lighter', 'deeper')}. Work that fades grows lighter; grey: noise."
    if name == "hue":
        turn = f"{abs(change.hue):.0f}° towards {'yellow' if change.hue > 0 else 'red'}"
        if abs(change.hue) < 1.96 * change.hue_sd:
            return "No turn of hue that can be told from noise."
        return f"The latest photo has turned {turn}; grey: noise."
    return ""


def _said(rate: Rate, up: str, down: str) -> str:
    if not rate.sure:
        return f"Neither {up} nor {down} for sure ({signed(rate.change, '+')} ± {rate.change_half_width:.1f})"
    return f"{abs(rate.change):.1f} ± {rate.change_half_width:.1f} {up if rate.per_month > 0 else down}"
