from __future__ import annotations

from collections import Counter
from math import radians
from typing import get_args

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import (
    WIDTH_STEP,
    _earlier,
    at_width,
    axle_problems,
    check_axle,
    reference_width,
    travel_box,
)
from geometry.contact.findings import Approach, Band, PairKind, Verdict
from geometry.rig.axle import Axle
from geometry.rig.layout import bar_paths, panel_facets
from geometry.rig.parts import Bar, Node, Point
from geometry.rig.rig import Rig, WantedClearance
from geometry.tolerances import CLEARANCE, FAR
from tests.geometry.contact.lifts import BUMP, DROOP, HEIGHT, OD, RADIUS, SECTION, TRACK, long_axle
from tests.geometry.rig.rigs import small_rig

WISHES = {kind: float(index) for index, kind in enumerate(get_args(PairKind), 1)}


def wishful_rig() -> Rig:
    return small_rig(wanted=WISHES)


def barred(drawn: Axle, *ends: tuple[Point, Point]) -> Rig:
    nodes = tuple(Node(id=f"n{row}.{end}", at=at) for row, pair in enumerate(ends) for end, at in enumerate(pair))
    made = tuple(Bar(id=f"bar{row}", nodes=(f"n{row}.0", f"n{row}.1"), od=OD, wall=3.0) for row in range(len(ends)))
    return Rig(name="", nodes=nodes, bars=made, axles=(drawn,))


def pair(approaches: tuple[Approach, ...], moving: str, fixed: str, side: str = "") -> Approach:
    return next(
        each for each in approaches if (each.moving.kind, each.fixed.id, each.moving.side) == (moving, fixed, side)
    )


@pytest.mark.parametrize("index", [0, 1])
def test_every_combination_is_there_once_with_its_kind_and_wish(index: int) -> None:
    rig = wishful_rig()
    axle = rig.axles[index]
    approaches = check_axle(rig, axle)
    bars = [path.part for path in bar_paths(rig)]
    panels = [each.part for each in panel_facets(rig)]
    assert (len(bars), len(panels)) == (4, 2)
    first = {"tire": 2, "link": 4, "axle": 3}
    # Two tires, four links, and housing, centre section and pinion; tires meet the axle's own links besides, and these
    # each other and the three.
    wanted = {f"{one}_bar": n * len(bars) for one, n in first.items()}
    wanted |= {f"{one}_panel": n * len(panels) for one, n in first.items()} | {"tire_link": 8}
    wanted["link_own"] = 6 + 4 * 3
    assert Counter(each.kind for each in approaches) == wanted
    assert len({(each.moving, each.fixed) for each in approaches}) == len(approaches)
    for each in approaches:
        assert each.axle == axle.id
        assert each.wanted == WISHES[each.kind]
        assert each.kind.endswith(("_" + each.fixed.kind, "_own"))
        assert each.moving.id.startswith(axle.id)
        if each.fixed.kind in {"bar", "panel"}:
            assert each.fixed in bars + panels


def test_wishes_left_open_are_the_usual_ones() -> None:
    usual = WantedClearance()
    for each in check_axle(small_rig(), small_rig().axles[0]):
        assert each.wanted == getattr(usual, each.kind)


def test_the_worst_margin_comes_first() -> None:
    margins = [each.margin for each in check_axle(wishful_rig(), wishful_rig().axles[1])]
    assert margins == sorted(margins)


def test_sides_are_those_of_the_parts() -> None:
    approaches = check_axle(small_rig(), small_rig().axles[0])
    assert {each.moving.side for each in approaches if each.moving.kind == "tire"} == {"left", "right"}
    assert {each.moving.side for each in approaches if each.moving.kind in {"housing", "pinion"}} == {""}
    assert {each.fixed.side for each in approaches if each.fixed.id == "rail"} == {"left", "right"}
    assert {each.fixed.side for each in approaches if each.fixed.id == "post"} == {""}
    # A rig that is its own mirror image has the same distances on both sides.
    left = pair(approaches, "tire", "cross", "left")
    right = pair(approaches, "tire", "cross", "right")
    assert left.high == pytest.approx(right.high, abs=2.0 * CLEARANCE)


def test_pairs_beyond_reach_have_no_points_and_the_others_have_both() -> None:
    approaches = check_axle(small_rig(), small_rig().axles[0])
    assert {each.beyond for each in approaches} == {True, False}
    for each in approaches:
        assert (each.on_moving is None) == (each.on_fixed is None) == each.beyond
        assert each.settled
        if each.beyond:
            assert each.low == FAR <= each.high
            assert each.start_straight is each.start_crossed is None


def test_a_panel_that_is_off_takes_no_part() -> None:
    rig = small_rig()
    off = replace(rig, panels=(replace(rig.panels[0], fitted=False),))
    assert not [each for each in check_axle(off, off.axles[0]) if each.fixed.kind == "panel"]


def test_an_axle_by_itself_is_checked_against_its_own_links() -> None:
    rig = small_rig()
    bare = replace(rig, nodes=(), bars=(), panels=(), axles=rig.axles[:1])
    assert {each.kind for each in check_axle(bare, bare.axles[0])} == {"tire_link", "link_own"}


def test_the_travel_box_runs_from_droop_to_bump_and_from_right_to_left_lock() -> None:
    rear, front = small_rig().axles
    assert travel_box(rear).middle == pytest.approx([-15.0, -15.0, 0.0, rear.width - reference_width(rear)])
    assert travel_box(rear).size == pytest.approx([135.0, 135.0])
    assert front.steering is not None
    uneven = replace(front, steering=replace(front.steering, lock_left_deg=30.0, lock_right_deg=40.0))
    box = travel_box(uneven)
    ends = box.middle[2] + np.array([-1.0, 1.0]) * box.size[2]
    # A left turn is positive.
    assert ends == pytest.approx([-radians(40.0), radians(30.0)])


def test_a_box_is_taken_to_another_width_without_touching_the_first() -> None:
    box = travel_box(small_rig().axles[1])
    other = at_width(box, 37.0)
    assert other.middle == pytest.approx([*box.middle[:3], 37.0])
    assert box.middle[3] == small_rig().axles[1].width - reference_width(small_rig().axles[1]) != 37.0


@pytest.mark.parametrize("width", [1501.0, 1600.0, 1655.0, 1699.9])
def test_near_widths_share_their_problems_and_keep_their_own_answers(width: float) -> None:
    rig = small_rig()
    drawn, axle = rig.axles[0], replace(rig.axles[0], width=width)
    assert abs(reference_width(axle) - width) <= WIDTH_STEP / 2.0
    assert axle_problems(rig, axle) is axle_problems(rig, drawn)
    assert travel_box(axle).middle[3] == pytest.approx(width - reference_width(drawn))


def test_problems_are_renumbered_when_groups_are_left_out() -> None:
    rig = small_rig()
    problem = axle_problems(rig, rig.axles[0])[0]
    keep = np.arange(len(problem.names)) % 3 == 1
    some = problem.of_groups(keep)
    assert some.names == problem.names[1::3]
    assert some.wanted == pytest.approx(problem.wanted[1::3])
    assert set(some.pairs.group) == set(range(len(some.names)))
    for row, group in enumerate(some.pairs.group):
        solid = problem.scene.movers.solids[some.pairs.mover[row]]
        assert problem.scene.pieces is not None
        part = problem.scene.pieces.parts[problem.scene.pieces.part[some.pairs.piece[row]]]
        assert (some.names[group].moving, some.names[group].fixed) == (solid.part, part)


def test_a_margin_is_the_distance_less_wish_and_spare() -> None:
    rig = wishful_rig()
    for problem in axle_problems(rig, rig.axles[0]):
        more = problem.as_margin(0.25).pairs.shrink - problem.pairs.shrink
        assert more == pytest.approx(problem.wanted[problem.pairs.group] + 0.25)


def test_a_tire_under_a_cross_bar_has_its_height_less_both_radii() -> None:
    drawn = long_axle()
    # Over the stop station, where the tire rises by the travel itself when both rise, is not over the tire: crossed
    # up, the outer tire rises further than its stop. The bar hangs over the middle of the housing instead.
    z = HEIGHT + BUMP + drawn.housing.tube_od / 2.0 + OD / 2.0 + 31.0
    found = pair(check_axle(barred(drawn, ((-700.0, -20.0, z), (700.0, 20.0, z))), drawn), "housing", "bar0")
    assert found.low <= 31.0 <= found.high + 1e-3
    assert found.high == pytest.approx(31.0, abs=CLEARANCE)
    assert (found.pose.left, found.pose.right) == pytest.approx((BUMP, BUMP), abs=15.0)
    assert found.on_moving is not None
    assert found.on_fixed is not None
    assert found.on_fixed[2] - found.on_moving[2] == pytest.approx(31.0, abs=1.0)


def test_contact_starts_where_the_tire_top_meets_the_bar_straight_and_crossed() -> None:
    drawn = long_axle()
    z = HEIGHT + 70.0 + RADIUS + OD / 2.0
    rig = barred(drawn, ((-10.0, TRACK / 2.0 - 150.0, z), (-10.0, TRACK / 2.0 + 150.0, z)))
    found = check_axle(rig, drawn)
    tire = pair(found, "tire", "bar0", "left")
    assert tire.start_straight is not None
    assert tire.start_straight.low <= 70.0 <= tire.start_straight.high + 0.05
    assert tire.start_straight.high - tire.start_straight.low < 2.0
    # Crossed up the axle rolls about its middle: the tire outside the stop rises by more than its stop does.
    assert tire.start_crossed is not None
    rise = (1.0 + DROOP / BUMP) / 2.0 * TRACK / 2.0 / drawn.stop_station + (1.0 - DROOP / BUMP) / 2.0
    # Leaning, the inner edge of the flat tread comes first or last, by less than half the section's share.
    roughly = 70.0 / rise
    assert abs(tire.start_crossed.high - roughly) < SECTION / 2.0 * 0.2
    assert tire.start_crossed.high < tire.start_straight.low
    assert pair(found, "tire", "bar0", "right").start_straight is None


def test_without_bump_no_contact_starts_on_the_way_up() -> None:
    drawn = long_axle(bump=0.0)
    z = HEIGHT + RADIUS + OD / 2.0 - 10.0
    found = pair(check_axle(barred(drawn, ((0.0, 700.0, z), (0.0, 900.0, z))), drawn), "tire", "bar0", "left")
    assert found.high < 0.0
    assert found.start_straight is found.start_crossed is None


def test_parts_in_the_middle_start_crossed_by_whichever_side_comes_first() -> None:
    drawn = long_axle()
    # Over the right half of the housing, where only a roll to the right lifts it.
    z = HEIGHT + drawn.housing.tube_od / 2.0 + OD / 2.0 + 40.0
    found = pair(check_axle(barred(drawn, ((-700.0, -600.0, z), (700.0, -600.0, z))), drawn), "housing", "bar0")
    assert found.start_crossed is not None
    assert found.start_straight is not None
    assert found.start_straight.high == pytest.approx(40.0, abs=2.0)
    rise = (1.0 + DROOP / BUMP) / 2.0 * 600.0 / drawn.stop_station + (1.0 - DROOP / BUMP) / 2.0
    assert found.start_crossed.high == pytest.approx(40.0 / rise, abs=2.0)


def test_the_earlier_of_two_starts_counts() -> None:
    one, other = Band(10.0, 12.0), Band(40.0, 41.0)
    assert _earlier(one, other) == _earlier(other, one) == one
    assert _earlier(None, other) == _earlier(other, None) == other
    assert _earlier(None, None) is None


def test_of_two_starts_that_overlap_the_first_proved_and_the_first_met_count() -> None:
    one, other = Band(10.0, 30.0), Band(12.0, 14.0)
    assert _earlier(one, other) == _earlier(other, one) == Band(10.0, 14.0)


def test_told_to_give_up_a_check_says_what_is_open() -> None:
    rig = small_rig()
    full = {(each.moving, each.fixed): each for each in check_axle(rig, rig.axles[1])}
    short = check_axle(rig, rig.axles[1], give_up=lambda: True)
    assert len(short) == len(full)
    assert not all(each.settled for each in short)
    for each in short:
        known = full[each.moving, each.fixed]
        assert each.low <= known.high + 1e-6
        assert each.high >= known.low - 1e-6


def test_a_finer_tolerance_is_kept() -> None:
    rig = small_rig()
    for each in check_axle(rig, rig.axles[0], tolerance=0.02):
        if not each.beyond and each.high > 0.0:
            assert each.high - each.low <= 0.02 + 1e-9


def test_a_wish_for_more_clearance_than_is_usually_looked_for_is_looked_for() -> None:
    rig = small_rig(wanted={"tire_panel": FAR + 50.0, "link_panel": FAR + 50.0})
    approaches = check_axle(rig, rig.axles[0])
    for each in approaches:
        if each.kind in {"tire_panel", "link_panel"}:
            assert each.verdict is Verdict.CLEAR
            assert each.low >= FAR + 50.0
    close = small_rig(wanted={"tire_panel": 900.0, "link_panel": 900.0})
    known = {(each.moving, each.fixed): each for each in approaches}
    tight = [each for each in check_axle(close, close.axles[0]) if each.verdict is Verdict.TIGHT and each.wanted > FAR]
    assert tight
    for each in tight:
        assert not each.beyond
        assert each.high >= known[each.moving, each.fixed].low
