"""Correct steering, turning circle, ram across the axle, and bump steer of drag link against lateral bar.

Sources, as on the project's sheets of checks:

- Correct steering, cot φ − cot θ = c / b: two collections of exam questions. An alignment shop's table of the inner
  wheel's angle at 20° of the outer one, by wheelbase and width, to a tenth of a degree.
- A transport engineer's turning radius sheet: wheelbase 198 in, track 77 in, inner wheel 30°: cot φ = 2.121 and an
  outer radius of 464.3 in by two methods. An engineering site's turning circle page: kingpins j = s − 2 r₀ apart, outer
  radius b / sin φ + r₀; its row for wheelbase 108 in, kingpins 66 in is worked out from these.
- Toe-out on turns of a pickup's service manual (20° / 22.25°) and of an old truck's (20° / 23 ± 2°): cot differences of
  0.3032 and 0.3916. Percent Ackermann is one definition of several; there no number is published.
- A sailing forum's hydraulic steering: arm 8.5 in, ram ± 3.5 in, eye 3/4 in off its line; formulas 2 r sin θ and
  r (1 − cos θ).
- Lateral bar 34 in and drag link 30 in, both level, 5 in of travel, arm 6 in: plane trigonometry, 0.4769°.
- Limits of joints: makers of joints for solid front axles give 30°.
"""

from __future__ import annotations

from math import cos, degrees, radians, sin, sqrt, tan

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.steer_lock import ram_travel, shaft_joint_angles, steer_lock
from geometry.motion.steering import knuckle_rows
from geometry.rig.axle import Axle, Rod, Steering
from geometry.rig.rig import Rig
from geometry.rig.steer_gear import Ackermann, DragLink, Ram
from geometry.rig.wheel import INCH, Wheel
from geometry.steering.drag_link import bump_steer
from geometry.steering.turning import agreement, correct_inner, correct_outer, turning_circle
from tests.geometry.motion.axles import axle

TABLE = {  # inner wheel at 20° of the outer one, by wheelbase and width [in]
    80.0: {40: 24.0, 50: 25.2, 60: 26.6, 70: 28.1, 76: 29.1, 80: 29.8, 86: 30.9, 94: 32.5},
    120.0: {40: 22.5, 50: 23.2, 60: 24.0, 70: 24.8, 76: 25.3, 80: 25.7, 86: 26.2, 94: 27.0},
    160.0: {40: 21.8, 50: 22.3, 60: 22.9, 70: 23.4, 76: 23.8, 80: 24.0, 86: 24.4, 94: 24.8},
}


def steered(width: float, scrub: float, **fields: object) -> Axle:
    """An axle with upright kingpins, by its track and scrub radius [mm]."""
    steering = Steering(
        inclination_deg=0.0,
        caster_deg=0.0,
        kingpin=(0.0, -scrub, 0.0),
        lock_left_deg=45.0,
        lock_right_deg=45.0,
        **fields,  # type: ignore[arg-type]
    )
    return axle(width=width, wheel=Wheel(rim_width=228.6, offset=0.0), steering=steering)


def correct(wheelbase: float, track: float, scrub: float) -> tuple[Rig, Axle]:
    """A rig that steers correctly; all in inches."""
    share = Ackermann(share_factor=1.0, turn_length=wheelbase * INCH)
    front = replace(steered(track * INCH, scrub * INCH, ackermann=share), station=wheelbase * INCH)
    return Rig(name="", axles=(axle(id="rear", station=0.0), front)), front


@pytest.mark.parametrize("wheelbase", TABLE)
def test_inner_angles_of_an_alignment_table(wheelbase: float) -> None:
    for width, inner in TABLE[wheelbase].items():
        assert degrees(correct_inner(radians(20.0), width, wheelbase)) == pytest.approx(inner, abs=0.1001)


@pytest.mark.parametrize(
    ("wheelbase", "track", "scrub", "inner", "outer", "radius"),
    [
        (198.0, 77.0, 0.0, 30.0, 25.2434, 464.283),
        (108.0, 66.0, 0.0, 35.0, 26.1221, 245.295),
        (108.0, 74.0, 4.0, 35.0, 26.1221, 249.295),
    ],
)
def test_outer_angle_and_turning_radius(
    wheelbase: float, track: float, scrub: float, inner: float, outer: float, radius: float
) -> None:
    rig, front = correct(wheelbase, track, scrub)
    for way in (1.0, -1.0):
        both = agreement(front, way * radians(inner), wheelbase * INCH)
        circle = turning_circle(rig, front, way * radians(inner))
        assert both is not None
        assert circle is not None
        assert degrees(both.outer) == pytest.approx(outer, abs=0.5e-4)
        assert both.error == pytest.approx(0.0, abs=1e-12)
        assert both.percent == pytest.approx(100.0)
        assert circle.radius / INCH == pytest.approx(radius, abs=0.5e-3)
        assert circle.by_rule == pytest.approx(circle.radius)


def test_the_turning_radius_sheet_by_its_other_method() -> None:
    cot = 1.0 / tan(correct_outer(radians(30.0), 77.0, 198.0))
    assert cot == pytest.approx(2.121, abs=0.5e-3)
    assert sqrt(198.0**2 + (198.0 * cot) ** 2) == pytest.approx(464.3, abs=0.05)


@pytest.mark.parametrize(("inner", "difference"), [(22.25, 0.3032), (23.0, 0.3916)])
def test_toe_out_on_turns_of_manuals(inner: float, difference: float) -> None:
    assert degrees(correct_inner(radians(20.0), difference, 1.0)) == pytest.approx(inner, abs=2e-3)


def test_each_degree_of_error_takes_fifty_millimetres_off_the_radius() -> None:
    rig, front = correct(108.0, 66.0, 0.0)
    alike = replace(front, steering=replace(front.steering, ackermann=None))
    both = agreement(alike, radians(30.0), 108.0 * INCH)
    circle = turning_circle(rig, alike, radians(30.0))
    assert both is not None
    assert circle is not None
    assert both.percent == pytest.approx(0.0, abs=1e-9)
    assert circle.radius - circle.by_rule == pytest.approx(50.0 * degrees(both.error))


@pytest.mark.parametrize(
    ("arm", "angle", "way", "off"), [(8.5, 24.316, 3.5, 0.7540), (6.0, 40.0, 7.7135 / 2.0, 1.4037)]
)
def test_way_of_a_steering_arm_along_the_ram_and_off_its_line(arm: float, angle: float, way: float, off: float) -> None:
    place = (-arm * INCH, -100.0, 0.0)
    made = steered(1600.0, 100.0)
    assert made.steering is not None
    rows = knuckle_rows(made, made.steering, "left", place)
    ball = np.array([1.0, cos(radians(angle)), sin(radians(angle))]) @ rows
    straight = rows[0] + rows[1]
    assert (ball - straight)[1] / INCH == pytest.approx(-way, abs=1e-4)
    assert (ball - straight)[0] / INCH == pytest.approx(off, abs=1e-4)


@pytest.mark.parametrize(("arm", "stroke", "lock"), [(8.5, 7.0, 24.316), (6.0, 7.7135, 40.0)])
def test_a_ram_with_long_links_ends_the_lock_where_the_formula_says(arm: float, stroke: float, lock: float) -> None:
    ram = Ram(
        forward=-arm * INCH, up=0.0, stroke=stroke * INCH, length=10.0, eyes=500.0, arm=(-arm * INCH, -100.0, 0.0)
    )
    made = steered(1e7, 100.0, ram=ram)
    for way in ("left", "right"):
        found = steer_lock(made, way)  # type: ignore[arg-type]
        assert found is not None
        assert found.by == "ram"
        assert found.steer_deg == pytest.approx(lock, abs=1e-3)
    assert abs(float(ram_travel(made, radians(lock)))) / INCH == pytest.approx(stroke / 2.0, abs=1e-4)


def test_a_joint_of_thirty_degrees_ends_the_lock_there_about_an_upright_kingpin() -> None:
    made = steered(1600.0, 100.0, joint_limit_deg=30.0)
    found = steer_lock(made, "left")
    assert found is not None
    assert (found.by, found.steer_deg) == ("joint", pytest.approx(30.0))
    assert np.degrees(shaft_joint_angles(made, radians(20.0))) == pytest.approx([20.0, 20.0])


def on_long_links(link: float) -> Axle:
    """An axle that a level lateral bar of 34 in holds, with a level drag link; both reach from right to left."""
    made = axle(bump=200.0, droop=200.0)
    far = 1e7 * INCH
    ends = [(0.0, 500.0, 380.0), (0.0, -500.0, 380.0), (0.0, 0.0, 700.0)]
    rods = [
        Rod(id=f"link{index}", chassis=(2500.0 - far, y, z), axle=(2500.0 + x, y, z))
        for index, (x, y, z) in enumerate(ends)
    ]
    bar = 34.0 * INCH / 2.0
    rods.append(Rod(id="bar", chassis=(2600.0, -bar, 600.0), axle=(2600.0, bar, 600.0)))
    arm = (6.0 * INCH, -100.0, 60.0)
    ball = np.array([made.station + arm[0], made.width / 2.0 + arm[1], made.height + arm[2]])
    pitman = ball - np.array([0.0, link * INCH, 0.0])
    drag = DragLink(
        pitman=tuple(pitman.tolist()),
        shaft=tuple((pitman + np.array([150.0, 0.0, 0.0])).tolist()),
        shaft_end=tuple((pitman + np.array([150.0, 0.0, 100.0])).tolist()),
        knuckle="left",
        arm=arm,
    )
    return replace(made, rods=tuple(rods), steering=replace(steered(1600.0, 100.0).steering, drag_link=drag))


@pytest.mark.parametrize(("link", "steer"), [(34.0, 0.0), (30.0, 0.4769)])
@pytest.mark.parametrize("travel", [5.0, -5.0])
def test_bump_steer_of_a_drag_link_against_a_lateral_bar(link: float, steer: float, travel: float) -> None:
    found = bump_steer(on_long_links(link), travel * INCH, travel * INCH)
    assert found is not None
    assert abs(degrees(float(found.turn[0]))) == pytest.approx(steer, abs=0.5e-4)
    assert found.axle_steer[0] == pytest.approx(0.0, abs=1e-9)
