"""The laws of the whole-travel search where they are hardest to keep: extreme numbers, shapes out of true."""

from __future__ import annotations

from math import cos, pi, sin
from typing import Any

import numpy as np
import pytest
from msgspec import Struct
from msgspec.structs import replace

from geometry.contact import crossing, search
from geometry.contact.axle_check import axle_problems, check_axle, travel_box
from geometry.contact.findings import Approach, Band
from geometry.contact.solids import panel_pieces
from geometry.rig.axle import Axle, Housing, Steering
from geometry.rig.check import check_rig
from geometry.rig.layout import node_points
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, OVERLAP_SHARE, POSE_AT_MOST
from tests.laws.exact import clearances, exact_poses, random_travel
from tests.laws.random_rigs import random_axle, random_rig

ROUNDING = 1e-3
"""Pose map's error over its longest lever and double precision together [mm]."""

STEERING = Steering(
    inclination_deg=8.0, caster_deg=5.0, kingpin=(0.0, -110.0, 0.0), lock_left_deg=35, lock_right_deg=35
)
HOUSING = Housing(pinion_angle_deg=8.0)
HARD_AXLES: dict[str, dict[str, Struct | float]] = {
    "no bump": {"bump": 0.0, "steering": STEERING},
    "no droop": {"droop": 0.0, "steering": STEERING},
    "no travel": {"bump": 0.0, "droop": 0.0, "steering": STEERING},
    "no travel, no lock": {"bump": 0.0, "droop": 0.0, "steering": replace(STEERING, lock_left_deg=0, lock_right_deg=0)},
    "lock to one side": {"steering": replace(STEERING, lock_left_deg=0)},
    "lock of 80 degrees": {"steering": replace(STEERING, lock_left_deg=80, lock_right_deg=80)},
    "kingpin far ahead": {"steering": replace(STEERING, kingpin=(3000.0, -100.0, 0.0), lock_right_deg=10)},
    "kingpin leaning far": {"steering": replace(STEERING, inclination_deg=-45, caster_deg=45)},
    "very wide": {"width": 4000.0, "stop_station": 2000.0},
    "pinion upright": {"housing": replace(HOUSING, pinion_angle_deg=90.0, pinion_length=900.0)},
    "hardly a pinion": {
        "housing": replace(HOUSING, pinion_length=2.0, pinion_angle_deg=90.0, end_inset=0.0),
        "bump": 0.0,
        "droop": 0.0,
    },
    "huge centre section": {"housing": replace(HOUSING, centre_radius=600.0, pinion_offset=700.0)},
}


def hard_axle(change: dict[str, Struct | float]) -> Axle:
    return replace(random_axle(np.random.default_rng(3), "triangulated", steered=False), **change)


def awkward_chassis(axle: Axle) -> Rig:
    """Bars on and across the axle line, along the wheel's axis, round the tread and beside the face; a panel there."""
    radius, height, face = 470.0, axle.height, axle.width / 2.0 + 160.0
    ends = {
        "line": ((0.0, -3000.0, height), (0.0, -200.0, height)),
        "spine": ((-900.0, 0.0, height), (900.0, 0.0, height)),
        "hub": ((0.0, 300.0, height), (0.0, 5000.0, height)),
        "tread": ((radius + 90.0, 300.0, height + 130.0), (radius + 90.0, 3000.0, height + 130.0)),
        "tangent": ((-900.0, face - 160.0, height + radius + 150.0), (900.0, face - 160.0, height + radius + 150.0)),
        "beside": ((-700.0, face + 60.0, height + 100.0), (700.0, face + 60.0, height + 100.0)),
        "speck": ((300.0, face - 150.0, height + radius), (300.0, face - 150.0, height + radius + 1.0)),
    }
    nodes = [Node(id=f"{name}.{end}", at=at) for name, both in ends.items() for end, at in enumerate(both)]
    corners = [(400.0 * cos(t), face + 90.0, height + 400.0 * sin(t)) for t in np.linspace(0.0, 6.0, 20)]
    nodes += [Node(id=f"skin.{index}", at=at) for index, at in enumerate(corners)]
    loop = tuple(f"skin.{index}" for index in range(len(corners)))
    bars = tuple(Bar(id=name, nodes=(f"{name}.0", f"{name}.1"), od=44.45, wall=3.0) for name in ends)
    return Rig(name="", nodes=tuple(nodes), bars=bars, panels=(Panel(id="skin", facets=(loop,)),), axles=(axle,))


@pytest.mark.parametrize("name", HARD_AXLES)
def test_the_interval_is_narrow_and_holds_every_pose(name: str) -> None:
    axle = hard_axle(HARD_AXLES[name])
    rig = awkward_chassis(axle)
    check_rig(rig)
    left, right, steer = random_travel(axle, np.random.default_rng(7), 400)
    exact = exact_poses(axle, left, right)
    for approach in check_axle(rig, axle):
        assert clearances(rig, axle, approach, exact, steer).min() >= approach.low - ROUNDING, approach
        if not approach.beyond:
            assert approach.settled
            assert approach.high - approach.low <= max(CLEARANCE, -OVERLAP_SHARE * approach.high) + ROUNDING
            assert met(rig, axle, approach) == pytest.approx(approach.high, abs=ROUNDING)


def met(rig: Rig, axle: Axle, approach: Approach) -> float:
    """Exact clearance of the pair in the pose that its approach gives."""
    pose = exact_poses(axle, np.array([approach.pose.left]), np.array([approach.pose.right]))
    return float(clearances(rig, axle, approach, pose, np.array([approach.pose.steer]))[0])


def out_of_true(off: float) -> Rig:
    """A panel beside the tire whose eight corners lie by turns off its plane to one side and the other."""
    axle = hard_axle({"steering": STEERING})
    face = axle.width / 2.0 + 100.0
    turns = [i * pi / 4.0 for i in range(8)]
    corners = [(200.0 + 600.0 * cos(t), face + off * (-1) ** i, 700.0 + 50.0 * sin(t)) for i, t in enumerate(turns)]
    nodes = tuple(Node(id=f"skin.{index}", at=at) for index, at in enumerate(corners))
    panels = (Panel(id="skin", facets=(tuple(node.id for node in nodes),)),)
    return Rig(name="", nodes=nodes, panels=panels, axles=(axle,))


def test_a_panel_a_little_out_of_true_settles_like_a_flat_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST_CELLS", 20_000)
    rig = out_of_true(0.9)
    check_rig(rig)
    axle = rig.axles[0]
    flat = {(a.moving, a.fixed): a for a in check_axle(out_of_true(0.0), axle)}
    for approach in check_axle(rig, axle):
        before = flat[approach.moving, approach.fixed]
        assert approach.settled, approach
        assert approach.low <= before.high + ROUNDING
        assert approach.low >= before.low - 2.0 * 0.9 - max(CLEARANCE, -OVERLAP_SHARE * approach.high)


def test_a_facet_laid_flat_covers_the_one_out_of_true() -> None:
    rig = out_of_true(0.9)
    drawn = np.array([node_points(rig)[name] for name in rig.panels[0].facets[0]])
    pieces = panel_pieces(rig)
    flat = pieces.corners[0]
    normal = np.linalg.svd(flat - flat.mean(axis=0))[2][2]
    assert np.ptp(flat @ normal) < 1e-9
    assert np.linalg.norm(drawn - flat, axis=1).max() <= pieces.radius[0] - rig.panels[0].thickness / 2.0 + 1e-9
    assert pieces.radius[0] == pytest.approx(rig.panels[0].thickness / 2.0 + 0.9)


@pytest.mark.parametrize(("layout", "bump", "droop"), [("lateral bar", 150.0, 200.0), ("wishbone", 225.0, 150.0)])
def test_an_axle_that_rolls_far_is_as_close_as_is_said(layout: str, bump: float, droop: float) -> None:
    # Stops near the centre: 45 degrees of roll. A coarse table of poses once took a millimetre off `high`, too.
    axle = random_axle(np.random.default_rng(1), layout, steered=False)
    axle = replace(axle, stop_station=200.0, bump=bump, droop=droop)
    rig = replace(random_rig(1, bars=6, panels=1), axles=(axle,))
    near = [approach for approach in check_axle(rig, axle) if not approach.beyond]
    assert near
    for approach in near:
        assert met(rig, axle, approach) == pytest.approx(approach.high, abs=POSE_AT_MOST)


def test_what_is_found_does_not_depend_on_how_much_is_looked_at_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = random_rig(1, bars=4, panels=1)
    axle = rig.axles[0]
    whole = {(a.moving, a.fixed): a for a in check_axle(rig, axle)}
    monkeypatch.setattr(search, "AT_ONCE", 7)
    for approach in check_axle(rig, axle):
        other = whole[approach.moving, approach.fixed]
        assert approach.settled
        assert approach.low <= other.high + 1e-9
        assert other.low <= approach.high + 1e-9
        for one, two in zip(starts(approach), starts(other), strict=True):
            assert (one is None) == (two is None)
            if one is not None and two is not None:
                assert one.low <= two.high
                assert two.low <= one.high


def starts(approach: Approach) -> tuple[Band | None, Band | None]:
    return (approach.start_straight, approach.start_crossed)


@pytest.mark.parametrize("module", [search, crossing])
@pytest.mark.parametrize("most", [100, 500, 1000])
def test_no_more_is_looked_at_than_may_be(module: object, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rig = random_rig(1, bars=8)
    axle = rig.axles[0]
    problem = axle_problems(rig, axle)[0]
    looked: list[int] = []
    plain = search.sight

    def counted(*args: Any) -> search.Sight:
        looked.append(len(args[2]))
        return plain(*args)

    monkeypatch.setattr(module, "sight", counted)
    monkeypatch.setattr(module, "MOST_CELLS", most)
    run = search.closest_approaches if module is search else crossing.first_crossing
    found = run(problem.scene, problem.pairs, len(problem.names), travel_box(axle))
    assert not found.settled.all()
    assert len(problem.pairs.mover) < sum(looked) <= len(problem.pairs.mover) + most


@pytest.mark.parametrize("seed", [5, 7])
def test_depths_without_end_leave_no_pair_unknown_that_is_apart(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rig = random_rig(seed, bars=12)
    problem = axle_problems(rig, rig.axles[0])[0]
    monkeypatch.setattr(search, "MOST_CELLS", 5_000)
    of = (problem.scene, problem.pairs, len(problem.names), travel_box(rig.axles[0]))
    found = search.closest_approaches(*of, overlap_share=0.0)
    assert not found.settled.all()
    assert found.settled[found.high > 0.0].all()
