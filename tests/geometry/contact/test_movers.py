from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.movers import POSE_LEVER, STEER, WIDTH, Movers
from geometry.contact.solids import housing_solids, link_solids, shock_solids, tire_solids
from geometry.motion.linkage import linkage_of
from geometry.motion.placement import PlacedAxle, place
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle, Rod
from geometry.rig.layout import Floats
from geometry.rig.stroke import Shock
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.linkages import LAYOUTS

REACH = 150.0
"""Change of width up to which the bounds are asked to hold [mm]."""

LOCK = np.radians(38.0)
RIGID = [name for name in LAYOUTS if name != "parallel and a bar"]
"""Layouts whose rods keep their lengths."""


@lru_cache
def made(layout: str, *, steered: bool = True) -> tuple[Axle, Movers]:
    rods = tuple(Rod(id=f"rod{index}", chassis=one, axle=other) for index, (one, other) in enumerate(LAYOUTS[layout]))
    drawn = axle(station=0.0, rods=rods, bump=120.0, droop=100.0, steering=STEERING if steered else None)
    solids = [*tire_solids(drawn), *housing_solids(drawn), *link_solids(drawn)]
    return drawn, Movers(solids, pose_map(linkage_of(drawn)), REACH)


SHOCK = Shock(
    id="shock", chassis=(90.0, 320.0, 930.0), axle=(-20.0, 420.0, 450.0), collapsed=400.0, extended=620.0, mirrored=True
)


@lru_cache
def shocked(layout: str) -> tuple[Axle, Movers]:
    """An axle's shocks alone, a body and a shaft on the left and on the right."""
    drawn = replace(made(layout)[0], shocks=(SHOCK,))
    return drawn, Movers(list(shock_solids(drawn)), pose_map(linkage_of(drawn)), REACH)


def random_poses(drawn: Axle, rng: np.random.Generator, count: int) -> Floats:
    low, high = np.array([-drawn.droop, -drawn.droop, -LOCK, -REACH]), np.array([drawn.bump, drawn.bump, LOCK, REACH])
    poses = rng.uniform(low, high, (count, 4))
    ends = rng.uniform(size=(count, 4))
    return np.where(ends < 0.1, low, np.where(ends > 0.9, high, poses))


def rows(movers: Movers, poses: Floats) -> tuple[Floats, Floats]:
    """Every solid in every pose."""
    which = np.tile(np.arange(len(movers.solids)), len(poses))
    return which, np.repeat(poses, len(movers.solids), axis=0)


@pytest.mark.parametrize("layout", RIGID)
@pytest.mark.parametrize("steered", [True, False])
def test_every_solid_is_where_the_exact_pose_puts_it(layout: str, steered: bool) -> None:
    drawn, movers = made(layout, steered=steered)
    poses = random_poses(drawn, np.random.default_rng(1), 25)
    assert movers.margin < 1e-2
    for q in poses:
        left, right, steer, change = (float(value) for value in q)
        wider = replace(drawn, width=drawn.width + change)
        exact = place(wider, TravelPose(left, right, steer))
        got = movers.at(*rows(movers, q[None]))
        half = movers.half_at(np.arange(len(movers.solids)), np.full(len(movers.solids), change))
        for row, solid in enumerate(movers.solids):
            if solid.part.kind == "tire":
                tire = exact.tires[0 if solid.part.side == "left" else 1]
                assert got.centre[row] == pytest.approx(tire.centre, abs=movers.margin + 1e-9)
                assert got.axis[row] == pytest.approx(tire.axis, abs=1e-6)
                assert half[row] + solid.skin == tire.section_width / 2.0
                continue
            ends = got.centre[row] + np.array([[1.0], [-1.0]]) * half[row] * got.axis[row]
            assert ends == pytest.approx(exact_ends(wider, exact, row - 2), abs=movers.margin + 1e-8)


def exact_ends(drawn: Axle, placed: PlacedAxle, row: int) -> Floats:
    """Both ends of housing, centre section, pinion and links, in this order."""
    if row == 0:
        return placed.housing_ends
    if row < 3:
        return np.array([placed.pinion_tip if row == 2 else placed.centre_section, placed.centre_section])
    chassis, joint = placed.rods[row - 3]
    room = (joint - chassis) / np.linalg.norm(joint - chassis) * drawn.rods[row - 3].joint_room
    return np.array([joint - room, chassis + room])


def test_five_rods_that_give_are_covered_by_their_radius() -> None:
    drawn, movers = made("parallel and a bar")
    give = movers.pose_map.give
    assert give > 0.5
    for q in random_poses(drawn, np.random.default_rng(2), 25):
        exact = place(drawn, TravelPose(float(q[0]), float(q[1])))
        got = movers.at(*rows(movers, np.array([[q[0], q[1], 0.0, 0.0]])))
        for row in range(5, 10):
            ends = got.centre[row] + np.array([[1.0], [-1.0]]) * movers.half_length[row] * got.axis[row]
            assert np.linalg.norm(ends - exact_ends(drawn, exact, row - 2), axis=1).max() <= give + 1e-6


@pytest.mark.parametrize("layout", LAYOUTS)
def test_slopes_are_those_of_places_and_axes(layout: str) -> None:
    drawn, movers = made(layout)
    which, poses = rows(movers, 0.9 * random_poses(drawn, np.random.default_rng(3), 20))
    got = movers.at(which, poses)
    for freedom, step in enumerate((1e-2, 1e-2, 1e-4, 1e-2)):
        ahead, behind = (movers.at(which, poses + sign * step * np.eye(4)[freedom]) for sign in (1.0, -1.0))
        scale = max(float(np.abs(got.centre_slope[:, :, freedom]).max()), 1.0)
        by_centre = (ahead.centre - behind.centre) / (2.0 * step)
        assert by_centre == pytest.approx(got.centre_slope[:, :, freedom], abs=1e-6 * scale)
        by_axis = (ahead.axis - behind.axis) / (2.0 * step)
        assert by_axis == pytest.approx(got.axis_slope[:, :, freedom], abs=2e-6)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("steered", [True, False])
def test_second_derivatives_stay_under_their_bounds(layout: str, steered: bool) -> None:
    drawn, movers = made(layout, steered=steered)
    rng = np.random.default_rng(4)
    which, poses = rows(movers, random_poses(drawn, rng, 150))
    largest = np.zeros((2, len(movers.solids), 3, 4, 4))
    steps = (1e-2, 1e-2, 1e-4, 1e-2)
    for freedom, step in enumerate(steps):
        way = step * np.eye(4)[freedom]
        ahead, behind = movers.at(which, poses + way), movers.at(which, poses - way)
        for row, slopes in enumerate(("centre_slope", "axis_slope")):
            second = np.abs(getattr(ahead, slopes) - getattr(behind, slopes)) / (2.0 * step)
            largest[row, :, :, freedom] = second.reshape(-1, len(movers.solids), 3, 4).max(axis=0)
    for found, bound in zip(largest, (movers.centre_curvature, movers.axis_curvature), strict=True):
        assert np.all(found <= bound * (1.0 + 1e-6) + 1e-7)
        # Sums of coefficients give something away, yet not so much that a search would crawl.
        assert np.all(bound[found > 1e-4] <= 3.0 * found[found > 1e-4])


@pytest.mark.parametrize("layout", LAYOUTS)
def test_from_any_pose_to_any_other_the_remainder_is_under_half_the_curvature(layout: str) -> None:
    drawn, movers = made(layout)
    rng = np.random.default_rng(5)
    which, here = rows(movers, random_poses(drawn, rng, 150))
    there = rows(movers, random_poses(drawn, rng, 150))[1]
    way = there - here
    one, other = movers.at(which, here), movers.at(which, there)
    for part in ("centre", "axis"):
        left = getattr(other, part) - getattr(one, part) - np.einsum("ncj,nj->nc", getattr(one, f"{part}_slope"), way)
        size = np.abs(way)
        most = 0.5 * np.einsum("ncij,ni,nj->nc", getattr(movers, f"{part}_curvature")[which], size, size)
        assert np.all(np.abs(left) <= most + 1e-6)


@pytest.mark.parametrize("layout", RIGID)
def test_both_halves_of_a_shock_lie_on_the_line_from_eye_to_eye_and_overlap(layout: str) -> None:
    drawn, movers = shocked(layout)
    poses = random_poses(drawn, np.random.default_rng(8), 25)
    room, body = SHOCK.joint_room, SHOCK.collapsed - SHOCK.joint_room
    for q in poses:
        exact = place(drawn, TravelPose(float(q[0]), float(q[1])))
        got = movers.at(*rows(movers, q[None]))
        reach = movers.half_length[:, None] * got.axis
        start, end = got.centre - reach, got.centre + reach
        for side, across in enumerate((1.0, -1.0)):
            chassis = np.array(SHOCK.chassis) * (1.0, across, 1.0)
            on_axle = exact.to_rig((np.array(SHOCK.axle) - (0.0, 0.0, drawn.height)) * (1.0, across, 1.0))
            along = (on_axle - chassis) / np.linalg.norm(on_axle - chassis)
            one, other = 2 * side, 2 * side + 1
            close = {"abs": 2.0 * movers.margin + 1e-8}
            assert start[one] == pytest.approx(chassis + room * along, **close)
            assert end[one] == pytest.approx(chassis + body * along, **close)
            assert end[other] == pytest.approx(on_axle - room * along, **close)
            assert start[other] == pytest.approx(on_axle - (SHOCK.extended - body) * along, **close)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_slopes_and_bounds_of_shocks_hold(layout: str) -> None:
    drawn, movers = shocked(layout)
    rng = np.random.default_rng(9)
    which, here = rows(movers, 0.9 * random_poses(drawn, rng, 150))
    got = movers.at(which, here)
    for freedom in range(2):
        ahead, behind = (movers.at(which, here + sign * 1e-2 * np.eye(4)[freedom]) for sign in (1.0, -1.0))
        assert (ahead.centre - behind.centre) / 2e-2 == pytest.approx(got.centre_slope[:, :, freedom], abs=1e-6)
    there = rows(movers, random_poses(drawn, rng, 150))[1]
    other, size = movers.at(which, there), np.abs(there - here)
    for part in ("centre", "axis"):
        way = np.einsum("ncj,nj->nc", getattr(got, f"{part}_slope"), there - here)
        left = getattr(other, part) - getattr(got, part) - way
        most = 0.5 * np.einsum("ncij,ni,nj->nc", getattr(movers, f"{part}_curvature")[which], size, size)
        assert np.all(np.abs(left) <= most + 1e-6)
        assert np.abs(left).max() > 0.03 * most.max()  # loose, yet of second order


def test_reaches_are_the_lengths_of_the_bounds() -> None:
    _, movers = made("triangulated")
    centre = np.linalg.norm(movers.centre_curvature, axis=1)
    axis = np.linalg.norm(movers.axis_curvature, axis=1)
    assert movers.centre_reach == pytest.approx(centre)
    assert movers.end_reach == pytest.approx(centre + movers.half_most[:, None, None] * axis)
    assert movers.half_most.tolist() == movers.half_at(np.arange(len(centre)), np.full(len(centre), REACH)).tolist()


def test_only_the_housing_grows_with_the_width() -> None:
    _, movers = made("triangulated")
    every = np.arange(len(movers.solids))
    gained = movers.half_at(every, np.full(len(every), 30.0)) - movers.half_length
    assert {solid.part.kind: gain for solid, gain in zip(movers.solids, gained, strict=True) if gain} == {
        "housing": pytest.approx(15.0)
    }


def test_only_tires_of_a_steered_axle_are_steered() -> None:
    _, movers = made("triangulated")
    assert [s.part.kind for s, steered in zip(movers.solids, movers.steered, strict=True) if steered] == ["tire"] * 2
    assert not made("triangulated", steered=False)[1].steered.any()


def test_steering_moves_nothing_but_the_steered() -> None:
    drawn, movers = made("triangulated")
    which, poses = rows(movers, random_poses(drawn, np.random.default_rng(6), 10))
    got = movers.at(which, poses)
    still = ~movers.steered[which]
    assert not got.centre_slope[still][:, :, STEER].any()
    assert not got.axis_slope[still][:, :, STEER].any()
    assert got.centre_slope[~still][:, :, STEER].any()
    assert not got.axis_slope[:, :, WIDTH].any()


def test_axes_are_unit_vectors_to_the_last_digits() -> None:
    for layout in LAYOUTS:
        drawn, movers = made(layout)
        got = movers.at(*rows(movers, random_poses(drawn, np.random.default_rng(7), 50)))
        assert np.linalg.norm(got.axis, axis=1) == pytest.approx(1.0, abs=1e-14)


def test_the_margin_charges_the_error_of_the_rotation_on_a_lever_longer_than_anything_of_the_axle() -> None:
    _, movers = made("wishbone")
    table = movers.pose_map
    assert movers.margin == table.position_error + POSE_LEVER * table.rotation_error
    assert movers.margin > table.position_error > 0.0
