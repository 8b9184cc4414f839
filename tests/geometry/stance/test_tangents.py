from __future__ import annotations

from math import pi

import numpy as np
import pytest

from geometry.stance.tangents import crest_angle, least_crest, tangent_angle

BASE, REAR, FRONT = 2600.0, 450.0, 430.0

CREST = 1e-8
"""Within what the sharpest crest is found [rad]: a hundredth of a micrometre over a wheelbase."""


def test_a_line_at_the_angle_touches_tire_and_disc_and_neither_is_below_it() -> None:
    rng = np.random.default_rng(1)
    distance, height = rng.uniform(500.0, 1500.0, 200), rng.uniform(100.0, 1200.0, 200)
    disc = rng.uniform(0.0, 60.0, 200)
    angle = tangent_angle(distance, height, REAR, disc)
    upward = np.stack([-np.sin(angle), np.cos(angle)], axis=1)
    tire_below = upward @ (0.0, REAR) - REAR
    disc_below = np.einsum("ni,ni->n", upward, np.stack([distance, height], axis=1)) - disc
    assert disc_below == pytest.approx(tire_below, abs=1e-9)


def test_what_hides_behind_the_tire_is_touched_by_no_line() -> None:
    hidden = tangent_angle(np.array([0.0, 300.0]), np.array([450.0, 450.0]), REAR, np.array([100.0, 20.0]))
    assert np.all(np.isinf(hidden))
    assert tangent_angle(np.array([440.0]), np.array([450.0]), REAR, 20.0)[0] < pi / 2 + 0.1


def test_the_sharpest_crest_along_a_piece_is_that_of_its_densely_sampled_surface() -> None:
    rng = np.random.default_rng(2)
    count = 60
    ends = np.stack(
        [
            rng.uniform((520.0, 200.0), (2050.0, 900.0), (count, 2)),
            rng.uniform((520.0, 200.0), (2050.0, 900.0), (count, 2)),
        ],
        axis=1,
    )
    radius = rng.uniform(1.0, 40.0, count)
    angle, crest = least_crest(ends, radius, BASE, REAR, FRONT)
    shares, turns = np.meshgrid(np.linspace(0.0, 1.0, 101), np.linspace(0.0, 2.0 * pi, 181), indexing="ij")
    around = np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    for index in range(count):
        axis = ends[index, 0] + shares[..., None] * (ends[index, 1] - ends[index, 0])
        surface = (axis + radius[index] * around).reshape(-1, 2)
        sampled = crest_angle(surface, BASE, REAR, FRONT).min()
        assert angle[index] <= sampled + CREST
        assert angle[index] == pytest.approx(sampled, abs=2e-4)
        assert crest_angle(crest[index : index + 1], BASE, REAR, FRONT)[0] == pytest.approx(angle[index], abs=1e-12)
