from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from msgspec.structs import replace

from geometry.contact.crossing import STEP
from geometry.contact.findings import PairName, WidthBound, WidthCurve, WidthWindow
from geometry.contact.width import COARSE, FINEST, MOST_SAMPLES, _joined, width_curve, width_sample, width_windows
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef
from geometry.rig.parts import Bar, Node, Panel, Point
from geometry.rig.rig import Rig, WantedClearance
from geometry.tolerances import CLEARANCE, FAR
from tests.geometry.contact.lifts import OD, SECTION, long_axle, still_axle

WANTED = 10.0
OFFSET = 25.0
"""How far outboard of the mounting face the tire's middle lies [mm]."""
EDGE = STEP + 3.0 * CLEARANCE
"""How far inside the true edge a window may end [mm]: the walk's step, and a tolerance at half the width's rate."""


def walled(*walls: tuple[str, float], axle: Axle | None = None, wanted: float = WANTED) -> Rig:
    """Upright panels of 2 mm lengthwise on the left, ahead of the housing, beside the tire."""
    nodes, panels = [], []
    for name, y in walls:
        corners: list[Point] = [(250.0, y, 250.0), (440.0, y, 250.0), (440.0, y, 600.0), (250.0, y, 600.0)]
        nodes += [Node(id=f"{name}{row}", at=at) for row, at in enumerate(corners)]
        panels.append(Panel(id=name, facets=(tuple(f"{name}{row}" for row in range(4)),), thickness=2.0))
    wishes = WantedClearance(tire_panel=wanted, tire_link=0.0)
    return Rig(name="", nodes=tuple(nodes), panels=tuple(panels), axles=(axle or still_axle(),), wanted=wishes)


def outer_clearance(width: float, y: float) -> float:
    return y - 1.0 - (width / 2.0 + OFFSET + SECTION / 2.0)


def inner_clearance(width: float, y: float) -> float:
    return width / 2.0 + OFFSET - SECTION / 2.0 - y - 1.0


def curve_of(rig: Rig, low: float, high: float, *, partial: Callable[[WidthCurve], None] | None = None) -> WidthCurve:
    curve = width_curve(rig, rig.axles[0], low, high, partial=partial)
    assert curve is not None
    return curve


def test_the_curve_is_the_clearance_to_the_nearer_of_two_walls() -> None:
    curve = curve_of(walled(("inner", 600.0), ("outer", 1040.0)), 1480.0, 1720.0)
    for sample in curve.samples:
        truth = min(inner_clearance(sample.width, 600.0), outer_clearance(sample.width, 1040.0))
        assert sample.low <= truth + 1e-3
        assert sample.high == pytest.approx(truth, abs=CLEARANCE)
        assert sample.high - sample.low <= max(CLEARANCE, -0.05 * truth) + 1e-9
        assert sample.margin_low == pytest.approx(sample.low - WANTED, abs=CLEARANCE)
        assert sample.margin_low <= truth - WANTED + 1e-3
        assert sample.nearest is not None
        nearer = "inner" if inner_clearance(sample.width, 600.0) < outer_clearance(sample.width, 1040.0) else "outer"
        assert sample.nearest.fixed.id == nearer
        assert sample.nearest == sample.tightest


def test_a_window_ends_where_each_wall_has_the_wanted_clearance() -> None:
    (window,) = curve_of(walled(("inner", 600.0), ("outer", 1040.0)), 1400.0, 1800.0).windows
    low, high = 2.0 * (601.0 - OFFSET + SECTION / 2.0 + WANTED), 2.0 * (1039.0 - OFFSET - SECTION / 2.0 - WANTED)
    # Each end keeps the tolerance besides, at half a millimetre of clearance per millimetre of width.
    assert low + 2.0 * CLEARANCE - 1e-3 <= window.low.width <= low + EDGE
    assert high - EDGE <= window.high.width <= high - 2.0 * CLEARANCE + 1e-3
    for bound, name, outward in ((window.low, "inner", -1.0), (window.high, "outer", 1.0)):
        assert bound.reason is not None
        assert (bound.reason.kind, bound.reason.fixed.id) == ("tire_panel", name)
        assert (bound.reason.moving.kind, bound.reason.moving.side) == ("tire", "left")
        assert 0.0 <= outward * (bound.beyond - bound.width) <= EDGE


def test_a_range_within_a_window_ends_without_a_reason() -> None:
    (window,) = curve_of(walled(("inner", 600.0), ("outer", 1040.0)), 1520.0, 1660.0).windows
    assert window == WidthWindow(WidthBound(1520.0, 1520.0, None), WidthBound(1660.0, 1660.0, None))


def test_an_obstacle_in_the_tires_way_leaves_a_window_on_either_side() -> None:
    curve = curve_of(walled(("post", 800.0)), 1100.0, 2100.0)
    inside, outside = curve.windows
    # The tire is 320 mm wide and the panel 2 mm thick.
    assert inside.low == WidthBound(1100.0, 1100.0, None)
    edge = 2.0 * (799.0 - OFFSET - SECTION / 2.0 - WANTED)
    assert edge - EDGE <= inside.high.width <= edge
    edge = 2.0 * (801.0 - OFFSET + SECTION / 2.0 + WANTED)
    assert edge <= outside.low.width <= edge + EDGE
    assert outside.high == WidthBound(2100.0, 2100.0, None)


def test_where_no_width_is_clear_there_is_no_window() -> None:
    # 330 mm between the walls for a tire of 320 that wants 10 on either side.
    curve = curve_of(walled(("inner", 650.0), ("outer", 982.0)), 1450.0, 1750.0)
    assert curve.windows == ()
    assert max(sample.margin_low for sample in curve.samples) < 0.0
    assert curve.complete


def test_where_nothing_is_near_the_curve_lies_at_the_limit_of_the_search() -> None:
    curve = curve_of(walled(("far", 3000.0)), 1500.0, 1700.0)
    # The pair farthest below the limit less its wish is none: nothing is within reach.
    assert {(sample.low, sample.high, sample.nearest) for sample in curve.samples} == {(FAR, FAR, None)}
    assert {sample.tightest for sample in curve.samples} == {None}
    assert len(curve.samples) == COARSE
    assert [(window.low.width, window.high.width) for window in curve.windows] == [(1500.0, 1700.0)]


def test_a_wish_for_more_than_is_usually_looked_for_has_its_window() -> None:
    (window,) = curve_of(walled(("outer", 1250.0), wanted=180.0), 1400.0, 1800.0).windows
    edge = 2.0 * (1249.0 - OFFSET - SECTION / 2.0 - 180.0)
    assert window.low.width == 1400.0
    assert edge - EDGE <= window.high.width <= edge


def test_with_such_a_wish_the_curve_knows_clearances_beyond_the_usual_ones() -> None:
    curve = curve_of(walled(("outer", 1250.0), axle=long_axle(), wanted=180.0), 1500.0, 1700.0)
    known = [sample for sample in curve.samples if FAR < sample.margin_high + 180.0 < 180.0]
    assert known
    for sample in known:
        assert sample.margin_high - sample.margin_low <= CLEARANCE + 1e-9
        assert sample.tightest is not None
        assert sample.nearest is None or sample.nearest.kind == "tire_link"


def test_the_curve_is_refined_where_it_bends_and_only_there() -> None:
    curve = curve_of(walled(("inner", 600.0), ("outer", 1040.0)), 1480.0, 1720.0)
    bend = 1640.0 - 50.0
    steps = {one.width: other.width - one.width for one, other in pairwise(curve.samples)}
    at_bend = max(step for width, step in steps.items() if width - 10.0 < bend < width + step + 10.0)
    assert at_bend <= 2.0 * FINEST + 1e-9
    assert steps[1480.0] == pytest.approx(240.0 / (COARSE - 1))
    assert COARSE < len(curve.samples) <= MOST_SAMPLES
    assert min(steps.values()) >= FINEST / 2.0


def test_what_is_known_so_far_grows_and_only_the_last_is_complete() -> None:
    told: list[WidthCurve] = []
    curve = curve_of(walled(("inner", 600.0), ("outer", 1040.0)), 1400.0, 1800.0, partial=told.append)
    assert told[-1] == curve
    assert [each.complete for each in told] == [False] * (len(told) - 1) + [True]
    assert len(told) >= 3
    assert len(told[0].samples) == COARSE
    assert told[0].windows == ()
    assert all(each.windows == curve.windows for each in told[1:])
    for one, other in pairwise(told):
        assert {sample.width for sample in one.samples} <= {sample.width for sample in other.samples}
    for each in told:
        widths = [sample.width for sample in each.samples]
        assert widths == sorted(set(widths))
        assert (widths[0], widths[-1]) == (1400.0, 1800.0)
        assert each.axle == "front"


@pytest.mark.parametrize("asked", [1, 5, COARSE, COARSE + 1, COARSE + 2])
def test_told_to_give_up_it_answers_nothing(asked: int) -> None:
    rig = walled(("inner", 600.0), ("outer", 1040.0))
    told: list[WidthCurve] = []
    asks = iter([False] * (asked - 1))
    found = width_curve(rig, rig.axles[0], 1400.0, 1800.0, partial=told.append, give_up=lambda: next(asks, True))
    assert found is None
    assert not any(each.complete for each in told)


def test_a_single_width_is_sampled_as_on_the_curve() -> None:
    rig = walled(("inner", 600.0), ("outer", 1040.0))
    for sample in curve_of(rig, 1400.0, 1800.0).samples[::6]:
        alone = width_sample(rig, replace(rig.axles[0], width=sample.width))
        assert (alone.width, alone.nearest) == (sample.width, sample.nearest)
        assert (alone.low, alone.high) == pytest.approx((sample.low, sample.high), abs=CLEARANCE)


def test_windows_are_walked_from_any_samples() -> None:
    rig = walled(("inner", 600.0), ("outer", 1040.0))
    axle = rig.axles[0]
    (whole,) = curve_of(rig, 1400.0, 1800.0).windows
    samples = [width_sample(rig, replace(axle, width=width)) for width in (1400.0, 1600.0, 1800.0)]
    assert width_windows(rig, axle, samples) == (
        WidthWindow(
            WidthBound(
                pytest.approx(whole.low.width, abs=EDGE), pytest.approx(whole.low.beyond, abs=EDGE), whole.low.reason
            ),
            WidthBound(
                pytest.approx(whole.high.width, abs=EDGE), pytest.approx(whole.high.beyond, abs=EDGE), whole.high.reason
            ),
        ),
    )
    assert width_windows(rig, axle, samples[:1]) == ()
    assert width_windows(rig, axle, samples, give_up=lambda: True) is None


@pytest.mark.parametrize("width", [1560.0, 1610.0])
def test_the_drawn_width_changes_nothing_but_where_samples_are_taken(width: float) -> None:
    rig = walled(("inner", 600.0), ("outer", 1040.0), axle=still_axle(width=width))
    (window,) = curve_of(rig, 1400.0, 1800.0).windows
    assert window.low.width == pytest.approx(1492.0 + 0.5, abs=EDGE)
    assert window.high.width == pytest.approx(1688.0 - 0.5, abs=EDGE)


PAIR = PairName("tire_bar", PartRef("tire", "rear", "left", ""), PartRef("bar", "rail", "left", ""))


def window(low: float, high: float) -> WidthWindow:
    return WidthWindow(WidthBound(low, low - 0.5, PAIR), WidthBound(high, high + 0.5, PAIR))


def test_windows_that_meet_are_one() -> None:
    assert _joined([]) == ()
    assert _joined([window(1.0, 2.0)]) == (window(1.0, 2.0),)
    assert _joined([window(1.0, 2.0), window(2.0, 3.0), window(2.5, 4.0), window(5.0, 6.0)]) == (
        window(1.0, 4.0),
        window(5.0, 6.0),
    )


def test_a_bar_bounds_a_window_as_well() -> None:
    nodes = (Node(id="a", at=(300.0, 1040.0, 300.0)), Node(id="b", at=(300.0, 1040.0, 500.0)))
    bar = Bar(id="post", nodes=("a", "b"), od=OD, wall=3.0)
    rig = Rig(name="", nodes=nodes, bars=(bar,), axles=(still_axle(),), wanted=WantedClearance(tire_bar=WANTED))
    (found,) = curve_of(rig, 1500.0, 1800.0).windows
    edge = 2.0 * (1040.0 - OD / 2.0 - WANTED - OFFSET - SECTION / 2.0)
    assert edge - EDGE <= found.high.width <= edge
    assert found.high.reason is not None
    assert found.high.reason.fixed.id == "post"
