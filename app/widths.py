"""The widths that clear in words, the same in window, report and command line."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite

from app.units import LengthUnit, format_clearance, format_length
from app.wording import pair_words
from geometry.contact.findings import Verdict, WidthCurve, WidthSample


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


def sample_at(curve: WidthCurve, width: float) -> WidthSample | None:
    """What the curve says at a width, straight between its samples; None where it says nothing."""
    for one, two in pairwise(curve.samples):
        if one.width <= width <= two.width:
            if not (is_known(one) and is_known(two)):
                return None
            share = (width - one.width) / (two.width - one.width) if two.width > one.width else 0.0
            near = one if share < 0.5 else two

            def mix(a: float, b: float, share: float = share) -> float:
                return a + share * (b - a)

            return WidthSample(
                width,
                mix(one.low, two.low),
                mix(one.high, two.high),
                mix(one.margin_low, two.margin_low),
                mix(one.margin_high, two.margin_high),
                near.nearest,
                near.tightest,
            )
    return None


def sample_verdict(sample: WidthSample) -> Verdict:
    """What a width sample says as one word, on the safe side."""
    if sample.margin_low >= 0.0:
        return Verdict.CLEAR
    return Verdict.CONTACT if sample.low < 0.0 else Verdict.TIGHT


def is_known(sample: WidthSample) -> bool:
    """Whether a sample says anything."""
    return isfinite(sample.low) and isfinite(sample.margin_low)
