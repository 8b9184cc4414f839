"""Laws of how a rig stands: a mirror, a scale, a wider axle, more weight up high, and the bounds of its rules."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from app.files.rig_file import read_rig
from geometry.rig.mass import MassPart
from geometry.rig.rig import Rig
from geometry.rig.rules import Rules, WidthLimit
from geometry.stance.axle_loads import axle_loads
from geometry.stance.clearance_angles import ClearanceAngles, clearance_angles
from geometry.stance.masses import rig_masses
from geometry.stance.rail_pocket import rail_pocket
from geometry.stance.ramp_travel import ramp_travel
from geometry.stance.rules import width_rules
from geometry.stance.stability import stability
from tests.geometry.stance.stances import mirrored, scaled, straight_rig, weighed_rig
from tests.laws.random_rigs import varied_rig

ASSETS = Path(__file__).parents[2] / "assets"
LONG = read_rig(ASSETS / "2-long-four-seat.rig.json")


def rigs() -> Iterator[Rig]:
    """The demo rig, and random ones of two axles with something in them."""
    yield LONG
    yield weighed_rig()
    for seed in range(6):
        rng = np.random.default_rng([seed, 9])
        parts = tuple(
            MassPart(
                id=f"part{index}", mass_kg=float(rng.uniform(20, 300)), aboard=("always", "loaded")[index % 2],
                at=(float(rng.uniform(0, 2800)), float(rng.uniform(-500, 500)), float(rng.uniform(400, 1100))),
            )
            for index in range(6)
        )  # fmt: skip
        rig = varied_rig(seed)
        yield replace(rig, masses=weighed_rig().masses and replace(weighed_rig().masses, parts=parts))


def angles(found: ClearanceAngles) -> list[float | None]:
    return [each.value.value for each in (found.approach, found.departure, found.ramp, found.belly, *found.axles)]


def test_a_mirror_changes_no_angle_and_swaps_the_sides() -> None:
    for rig in rigs():
        image = mirrored(rig)
        assert angles(clearance_angles(image)) == pytest.approx(angles(clearance_angles(rig)), abs=1e-9)
        for state, flipped in zip(rig_masses(rig).states, rig_masses(image).states, strict=True):
            assert flipped.y.value == pytest.approx(-state.y.value, abs=1e-9)
            there, here = stability(image, flipped), stability(rig, state)
            assert there.factor.value == pytest.approx(here.factor.value)
        for axle, other in zip(rig.axles, image.axles, strict=True):
            one, two = rail_pocket(rig, axle), rail_pocket(image, other)
            assert (two.left.gap.value, two.right.gap.value) == pytest.approx((one.right.gap.value, one.left.gap.value))


@pytest.mark.parametrize("by", [0.8, 1.7])
def test_a_scale_leaves_angles_and_takes_lengths_along(by: float) -> None:
    rules = {"least_factor": 1.02, "most_pocket": 40.0, "widths": [{"id": "t", "measure": "tread", "most": 1900.0}]}
    rig = straight_rig(rules=rules)
    large = scaled(rig, by)
    small_angles, large_angles = clearance_angles(rig), clearance_angles(large)
    assert angles(large_angles)[:3] == pytest.approx(angles(small_angles)[:3], abs=1e-7)
    assert large_angles.belly.value.value == pytest.approx(by * small_angles.belly.value.value)
    assert ramp_travel(large).index.value == pytest.approx(ramp_travel(rig).index.value, rel=1e-6)
    for state, larger in zip(rig_masses(rig).states, rig_masses(large).states, strict=True):
        assert larger.mass.value == pytest.approx(by**3 * state.mass.value)
        assert stability(large, larger).factor.value == pytest.approx(stability(rig, state).factor.value)
        assert larger.z.value == pytest.approx(by * state.z.value)
    for rule, larger in zip(width_rules(rig, rig.axles[0]), width_rules(large, large.axles[0]), strict=True):
        for bound, other in ((rule.low, larger.low), (rule.high, larger.high)):
            assert (bound is None) == (other is None)
            assert bound is None or other.value == pytest.approx(by * bound.value)


def test_a_wider_axle_is_never_less_stable_and_its_pocket_never_narrower() -> None:
    for rig in rigs():
        state = rig_masses(rig).loaded
        for index, axle in enumerate(rig.axles):
            before, pocket = stability(rig, state), rail_pocket(rig, axle)
            for step in (1.0, 60.0, 300.0):
                wider = replace(axle, width=axle.width + step)
                axles = (*rig.axles[:index], wider, *rig.axles[index + 1 :])
                after = stability(replace(rig, axles=axles), state)
                assert after.axles[index].factor.value > before.axles[index].factor.value
                assert after.factor.value >= before.factor.value
                assert rail_pocket(rig, wider).gap.value == pytest.approx(pocket.gap.value + step / 2.0)


def test_weight_that_is_put_higher_makes_no_rig_more_stable() -> None:
    for rig in rigs():
        assert rig.masses is not None
        top = MassPart(id="on-top", mass_kg=60.0, at=(1500.0, 0.0, 900.0))
        low, high = (
            stability(loaded, rig_masses(loaded).loaded)
            for z in (900.0, 1400.0)
            for loaded in [with_part(rig, replace(top, at=(1500.0, 0.0, z)))]
        )
        assert high.factor.value < low.factor.value


def test_axle_loads_add_up_to_the_mass() -> None:
    for rig in rigs():
        for state in rig_masses(rig).states:
            loads = [load.load.value for load in axle_loads(rig, state)]
            assert sum(loads) == pytest.approx(state.mass.value)


def test_each_part_of_the_underside_that_goes_takes_no_angle_away() -> None:
    before = angles(clearance_angles(LONG))[:4]
    for bar in ("rub-rail", "lower-rail", "tail-post", "lamp-hoop", "belly-rail"):
        rest = replace(LONG, bars=tuple(each for each in LONG.bars if each.id != bar))
        assert all(after >= now - 1e-8 for after, now in zip(angles(clearance_angles(rest))[:4], before, strict=True))


def test_a_rig_on_taller_tires_clears_more() -> None:
    lifted = replace(
        LONG,
        nodes=tuple(replace(node, at=(node.at[0], node.at[1], node.at[2] + 50.0)) for node in LONG.nodes),
        axles=tuple(
            replace(
                axle, height=axle.height + 50.0,
                rods=tuple(
                    replace(rod, chassis=up(rod.chassis), axle=up(rod.axle)) for rod in axle.rods
                ),
            )
            for axle in LONG.axles
        ),
    )  # fmt: skip
    before, after = clearance_angles(LONG), clearance_angles(lifted)
    assert after.belly.value.value == pytest.approx(before.belly.value.value + 50.0)
    assert after.ramp.value.value > before.ramp.value.value


def test_at_a_bound_a_rule_has_its_limit_and_on_either_side_it_is_kept_or_broken() -> None:
    limits = tuple(WidthLimit(id=measure, measure=measure, most=1950.0) for measure in ("outer", "tread", "rim"))
    for rig in rigs():
        ruled = replace(rig, rules=Rules(widths=limits, least_factor=1.0, least_tip_deg=44.0, most_pocket=30.0))
        for axle in ruled.axles:
            rules = width_rules(ruled, axle)
            assert len(rules) == 8
            for rule in rules:
                bound = rule.low or rule.high
                assert bound is not None
                assert rule.at(bound.value).value.value == pytest.approx(rule.limit.value, abs=1e-9)
                inward = 1.0 if rule.low is not None else -1.0
                assert rule.at(bound.value + inward).satisfied is True
                assert rule.at(bound.value - inward).satisfied is False


def with_part(rig: Rig, part: MassPart) -> Rig:
    assert rig.masses is not None
    return replace(rig, masses=replace(rig.masses, parts=(*rig.masses.parts, part)))


def up(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return (at[0], at[1], at[2] + 50.0)
