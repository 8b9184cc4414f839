"""Tie rod, drag link and ram against SciPy's root finder on equations of its own: rotations by rotation vectors."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import brentq, least_squares
from scipy.spatial.transform import Rotation

from geometry.motion.linkage import AxlePoses, Floats, linkage_of, solve
from geometry.motion.steer_lock import ram_travel
from geometry.motion.steering import turns
from geometry.rig.axle import Axle, Steering
from geometry.rig.steer_gear import DragLink, Ram, TieRod
from geometry.rig.turn_law import turn_law
from geometry.steering.drag_link import bump_steer, pitman_turn
from tests.geometry.motion.axles import axle

SAME = 1e-9
"""Largest difference of two angles [rad]; SciPy stops at 1e-12."""


def random_axle(seed: int) -> Axle:
    rng = np.random.default_rng(seed)
    kingpin = rng.normal([0.0, -110.0, 0.0], [8.0, 15.0, 15.0])
    behind = rng.choice([-1.0, 1.0])
    pitman = rng.normal([2500.0 + behind * 150.0, -350.0, 560.0], 20.0)
    steering = Steering(
        inclination_deg=float(rng.uniform(0.0, 12.0)),
        caster_deg=float(rng.uniform(-3.0, 9.0)),
        kingpin=tuple(kingpin.tolist()),
        lock_left_deg=30.0,
        lock_right_deg=30.0,
        tie_rod=TieRod(arm=tuple((kingpin + rng.normal([behind * 160.0, -20.0 * -behind, 20.0], 12.0)).tolist())),
        drag_link=DragLink(
            pitman=tuple(pitman.tolist()),
            shaft=tuple((pitman + rng.normal([behind * 170.0, 0.0, 30.0], 10.0)).tolist()),
            shaft_end=tuple((pitman + np.array([behind * 170.0, 0.0, 200.0]) + rng.normal(0.0, 20.0, 3)).tolist()),
            knuckle="left" if seed % 2 else "right",
            arm=tuple((kingpin + rng.normal([behind * 170.0, -10.0, 90.0], 12.0)).tolist()),
        ),
        ram=Ram(
            forward=behind * 160.0,
            up=30.0,
            stroke=300.0,
            length=300.0,
            eyes=float(rng.uniform(750.0, 900.0)),
            arm=tuple((kingpin + rng.normal([behind * 165.0, -10.0, 30.0], 12.0)).tolist()),
        ),
    )
    return axle(steering=steering)


def knuckle(drawn: Axle, side: float, arm: tuple[float, ...], angle: float) -> Floats:
    """A ball on a knuckle turned about its kingpin, axle's frame."""
    steering = drawn.steering
    assert steering is not None
    mirror = np.array([1.0, side, 1.0])
    up = np.array([-np.tan(np.radians(steering.caster_deg)), -np.tan(np.radians(steering.inclination_deg)), 1.0])
    up = up / np.linalg.norm(up) * mirror
    face = np.array([0.0, drawn.width / 2.0, 0.0])
    place, ball = (face + steering.kingpin) * mirror, (face + arm) * mirror
    return place + Rotation.from_rotvec(up * angle).apply(ball - place)


@pytest.mark.parametrize("seed", range(12))
def test_the_outer_wheel_of_a_tie_rod(seed: int) -> None:
    drawn = random_axle(seed)
    assert drawn.steering is not None
    assert drawn.steering.tie_rod is not None
    arm = drawn.steering.tie_rod.arm
    length = np.linalg.norm(knuckle(drawn, 1.0, arm, 0.0) - knuckle(drawn, -1.0, arm, 0.0))
    for steer in np.radians([-30.0, -12.0, 4.0, 28.0]):
        lead = float(np.sign(steer))

        def stretch(angle: float, lead: float = lead, steer: float = steer) -> float:
            apart = knuckle(drawn, lead, arm, steer) - knuckle(drawn, -lead, arm, angle)
            return float(np.linalg.norm(apart) - length)

        outer = brentq(stretch, steer - 0.3, steer + 0.3, xtol=1e-14)
        left, right = (float(turns(turn_law(drawn), side, steer)[0]) for side in (1.0, -1.0))
        assert (left, right) == pytest.approx((steer, outer) if steer > 0.0 else (outer, steer), abs=SAME)


@pytest.mark.parametrize("seed", range(8))
def test_the_drag_link_over_the_travel(seed: int) -> None:
    drawn = random_axle(seed)
    assert drawn.steering is not None
    link = drawn.steering.drag_link
    assert link is not None
    side = 1.0 if link.knuckle == "left" else -1.0
    centre = np.array([drawn.station, 0.0, drawn.height])
    length = np.linalg.norm(centre + knuckle(drawn, side, link.arm, 0.0) - link.pitman)
    shaft = np.array(link.shaft_end) - link.shaft
    shaft /= np.linalg.norm(shaft)
    rng = np.random.default_rng(seed)
    for left, right, turned in rng.uniform([-110.0, -110.0, -0.3], [140.0, 140.0, 0.3], (3, 3)).tolist():
        pose = solve(linkage_of(drawn), left, right)
        ball = np.array(link.shaft) + Rotation.from_rotvec(shaft * turned).apply(np.array(link.pitman) - link.shaft)

        def stretch(angle: Floats, pose: AxlePoses = pose, ball: Floats = ball) -> float:
            there = pose.centre[0] + pose.rotation[0] @ knuckle(drawn, side, link.arm, float(angle[0]))
            return float(np.linalg.norm(there - ball) - length)

        wanted = least_squares(stretch, [0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
        assert wanted.cost < 1e-16
        found = bump_steer(drawn, left, right, turned)
        assert found is not None
        assert found.turn[0] == pytest.approx(wanted.x[0], abs=SAME)
        # and back: the pitman arm's turn for the steer that this is
        steer = found.turn[0]
        if side * steer < 0.0:
            steer = brentq(lambda s, t=steer: float(turns(turn_law(drawn), side, s)[0]) - t, -0.7, 0.7, xtol=1e-14)
        assert float(pitman_turn(drawn, steer, left, right)) == pytest.approx(turned, abs=SAME)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_way_of_a_ram(seed: int, side: str) -> None:
    drawn = random_axle(seed)
    drawn = replace(drawn, steering=replace(drawn.steering, tie_rod=None))
    assert drawn.steering is not None
    ram = drawn.steering.ram
    assert ram is not None
    sign = 1.0 if side == "left" else -1.0
    eye = np.array([ram.forward, sign * ram.eyes / 2.0, ram.up])
    length = np.linalg.norm(knuckle(drawn, sign, ram.arm, 0.0) - eye)
    for steer in np.radians([-25.0, 7.0, 30.0]):
        ball = knuckle(drawn, sign, ram.arm, float(steer))
        way = brentq(
            lambda u, ball=ball: float(np.linalg.norm(ball - eye - [0.0, u, 0.0]) - length), -140.0, 140.0, xtol=1e-12
        )
        assert float(ram_travel(drawn, steer, side)) == pytest.approx(way, abs=1e-7)  # type: ignore[arg-type]
