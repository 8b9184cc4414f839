"""Laws of the width window: every width inside is clear, just outside something is not, and the curve tells no lies."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import msgspec
import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle
from geometry.contact.findings import Verdict, WidthCurve
from geometry.contact.width import width_curve
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, FAR
from tests.laws.random_rigs import random_rig

DEMO_RIGS = sorted((Path(__file__).parents[2] / "assets").glob("*.rig.json"))
CASES = [(path.stem, axle) for path in DEMO_RIGS for axle in ("rear", "front")] + [("random", "30"), ("random", "12")]
ROUNDING = 1e-4


@lru_cache
def case(name: str, which: str) -> tuple[Rig, int, WidthCurve]:
    if name == "random":
        rig, index = thinned(random_rig(int(which))), 0
    else:
        path = next(path for path in DEMO_RIGS if path.stem == name)
        rig = msgspec.json.decode(path.read_bytes(), type=Rig)
        index = [axle.id for axle in rig.axles].index(which)
    axle = rig.axles[index]
    curve = width_curve(rig, axle, axle.width - 150.0, axle.width + 200.0)
    assert curve is not None
    return rig, index, curve


def thinned(rig: Rig) -> Rig:
    """A random rig without the bars its tires cannot miss at any width."""
    axle = rig.axles[0]
    blocked = {a.fixed.id for a in check_axle(rig, replace(axle, width=axle.width + 150.0)) if a.low < 40.0}
    bars = tuple(bar for bar in rig.bars if bar.id not in blocked)
    panels = tuple(panel for panel in rig.panels if panel.id not in blocked)
    return replace(rig, bars=bars, panels=panels)


def verdict(rig: Rig, index: int, width: float) -> Verdict:
    axle = replace(rig.axles[index], width=width)
    verdicts = {approach.verdict for approach in check_axle(rig, axle)}
    return next(v for v in Verdict if v in verdicts)


@pytest.mark.parametrize(("name", "which"), CASES)
def test_every_width_inside_a_window_is_clear(name: str, which: str) -> None:
    rig, index, curve = case(name, which)
    assert curve.windows
    rng = np.random.default_rng(5)
    for window in curve.windows:
        for width in (window.low.width, *rng.uniform(window.low.width, window.high.width, 4), window.high.width):
            assert verdict(rig, index, float(width)) is Verdict.CLEAR


@pytest.mark.parametrize(("name", "which"), CASES)
def test_just_outside_a_window_its_reason_is_not_clear(name: str, which: str) -> None:
    rig, index, curve = case(name, which)
    edges = [(w.low, -1.0) for w in curve.windows] + [(w.high, 1.0) for w in curve.windows]
    for bound, outward in edges:
        if bound.reason is None:
            assert bound.width == bound.beyond
            continue
        assert outward * (bound.beyond - bound.width) >= 0.0
        pair = (bound.reason.moving, bound.reason.fixed)
        for width in (bound.width, bound.beyond):
            approaches = check_axle(rig, replace(rig.axles[index], width=width))
            named = next(a for a in approaches if (a.moving, a.fixed) == pair)
            # At the edge it has the wanted clearance to within the tolerances of walk and check, not much more.
            assert named.margin <= 2.0 * CLEARANCE + ROUNDING
        assert named.low - named.wanted <= CLEARANCE + ROUNDING


@pytest.mark.parametrize(("name", "which"), CASES)
def test_the_curve_agrees_with_single_checks(name: str, which: str) -> None:
    rig, index, curve = case(name, which)
    for sample in curve.samples[::5]:
        approaches = check_axle(rig, replace(rig.axles[index], width=sample.width))
        assert min(*(a.low for a in approaches), FAR) <= sample.high + 1e-6
        assert sample.low <= min(*(a.high for a in approaches), FAR) + 1e-6
        margin = min(a.low - a.wanted for a in approaches)
        assert abs(margin - sample.margin_low) <= 2.0 * CLEARANCE or margin > FAR - 50.0 or sample.low < 0.0


@pytest.mark.parametrize(("name", "which"), CASES)
def test_clearance_changes_by_half_the_width_at_most(name: str, which: str) -> None:
    *_, curve = case(name, which)
    for one, other in zip(curve.samples, curve.samples[1:], strict=False):
        step = (other.width - one.width) / 2.0
        assert other.low <= one.high + step + 1e-6
        assert one.low <= other.high + step + 1e-6
