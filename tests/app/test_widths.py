"""A rig without a width window is told where it comes nearest to one."""

from __future__ import annotations

from dataclasses import replace

from app.report.content import bound_sentences
from app.units import LengthUnit
from app.widths import miss_words, nearest_miss
from geometry.contact.findings import PairName, WidthCurve, WidthSample
from geometry.rig.layout import PartRef

TIRE = PartRef("tire", "rear", "left", "left rear tire")


def sample(width: float, margin: float) -> WidthSample:
    pair = PairName("tire_bar", TIRE, PartRef("bar", str(width), "left", f"bar at {width:g}"))
    return WidthSample(width, margin + 19.0, margin + 19.1, margin, margin + 0.1, pair, pair)


CURVE = WidthCurve("rear", tuple(map(sample, (1500.0, 1600.0, 1700.0), (-40.0, -3.21, -12.0))), (), complete=True)


def test_the_nearest_miss_is_the_sample_with_the_greatest_margin() -> None:
    assert nearest_miss(CURVE) is CURVE.samples[1]
    unknown = replace(CURVE.samples[1], margin_low=float("nan"))
    assert nearest_miss(replace(CURVE, samples=(CURVE.samples[0], unknown))) is CURVE.samples[0]
    assert nearest_miss(replace(CURVE, samples=(unknown,))) is None


def test_it_is_said_with_width_shortfall_rounded_up_and_pair() -> None:
    expected = "nearest at 1600.0 mm, 3.3 mm short of what is wanted for left rear tire to bar at 1600"
    assert miss_words(CURVE.samples[1], LengthUnit.MM) == expected
    assert list(bound_sentences(CURVE, LengthUnit.MM)) == [f"{expected.capitalize()}."]


def test_an_unfinished_curve_names_no_miss() -> None:
    assert list(bound_sentences(replace(CURVE, complete=False), LengthUnit.MM)) == []
