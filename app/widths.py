"""The widths that clear in words, the same in window, report and command line."""

from __future__ import annotations

from math import isfinite

from app.units import LengthUnit, format_clearance, format_length
from app.wording import pair_words
from geometry.contact.findings import WidthCurve, WidthSample


def nearest_miss(curve: WidthCurve) -> WidthSample | None:
    """The sample that comes nearest to clearing; None when some width clears or nothing is established."""
    known = [sample for sample in curve.samples if isfinite(sample.margin_low)]
    if curve.windows or not known:
        return None
    return max(known, key=lambda sample: sample.margin_low)


def miss_words(sample: WidthSample, unit: LengthUnit) -> str:
    """Where a rig without a window comes nearest to one: width, what is wanting there, and the pair to move."""
    short = format_clearance(-sample.margin_low, unit, up=True)
    pair = f" for {pair_words(sample.tightest)}" if sample.tightest is not None else ""
    return f"nearest at {format_length(sample.width, unit)}, {short} short of what is wanted{pair}"
