"""Distances between tires and tubes or panels, against published cases and against a collision library.

The cases are the tire-to-bar benchmark of this project's collected checks (part 1, section 14; part 2, section 5 for
rounded shoulders), in inches: flat-ended cylinder of radius 18.5 and width 12.5, bar of radius 0.875. Each value was
found there by four independent methods: bounded minimisation with SciPy, MuJoCo, coal and FCL. Printed to 1e-6 in.

Random pairs are compared with coal 3 (GJK and EPA on convex shapes), in millimetres,
where its answers stay finite in deep overlaps. Shoulders, tubes and sheets are its swept spheres.
"""

from __future__ import annotations

import coal
import numpy as np
import pytest

from geometry.contact.distance import separation
from geometry.rig.layout import Floats

INCH = 25.4
PRINTED = 1e-6 * INCH
"""One unit of the last printed digit [mm]."""

AGREE = 0.01
"""Allowed difference from the library [mm]."""

TIRE_CENTRE = np.array([0.0, 32.0, 18.5])


def tire_to_bar(axis: object, bar_centre: object, along: object, length: float, shoulder: float) -> float:
    """Clearance of the benchmark's tire, about its centre, from a bar [in]."""
    direction = np.array(along) / np.linalg.norm(along)
    ends = np.array(bar_centre) + 0.5 * length * direction * np.array([[-1.0], [1.0]])
    found = separation(
        np.array([axis]) / np.linalg.norm(axis),
        np.array([6.25 - shoulder]) * INCH,
        np.array([18.5 - shoulder]) * INCH,
        ends[None] * INCH,
    )
    return float(found.gap[0]) / INCH - shoulder - 0.875


@pytest.mark.parametrize("shoulder", [0.0, 1.0, 2.0, 3.0])
def test_case_a_bar_along_the_rig_beside_the_tire(shoulder: float) -> None:
    clearance = tire_to_bar((0, 1, 0), np.array([0, 20, 18.5]) - TIRE_CENTRE, (1, 0, 0), 60, shoulder)
    assert clearance == pytest.approx(4.875, abs=1e-9)


@pytest.mark.parametrize("shoulder", [0.0, 1.0, 2.0, 3.0])
def test_case_b_bar_across_the_rig_before_the_tread(shoulder: float) -> None:
    clearance = tire_to_bar((0, 1, 0), np.array([25, 30, 18.5]) - TIRE_CENTRE, (0, 1, 0), 20, shoulder)
    assert clearance == pytest.approx(5.625, abs=1e-9)


@pytest.mark.parametrize(("shoulder", "printed"), [(0.0, 1.524519), (1.0, 1.890544), (2.0, 2.256570), (3.0, 2.622595)])
def test_case_d_tire_turned_about_its_kingpin(shoulder: float, printed: float) -> None:
    turn = np.radians(30.0)
    axis = np.array([-np.sin(turn), np.cos(turn), 0.0])
    centre = np.array([0.0, 25.0, 18.5]) + 7.0 * axis
    clearance = tire_to_bar(axis, np.array([0.0, 14.0, 18.5]) - centre, (1, 0, 0), 60, shoulder)
    assert clearance == pytest.approx(printed, abs=1e-6)


def test_two_capsules_crossed_at_right_angles() -> None:
    """Radii 1 and 0.75, axes 4 apart: 2.25 in, exact."""
    ends = np.array([[[0.0, -10.0, 4.0], [0.0, 10.0, 4.0]]]) * INCH
    found = separation(np.array([[1.0, 0.0, 0.0]]), np.array([10.0 * INCH]), np.zeros(1), ends)
    assert found.gap[0] / INCH - 1.75 == pytest.approx(2.25, abs=1e-9)


def unit(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def frame(axis: Floats) -> Floats:
    """A rotation that turns z into `axis`."""
    aside = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    aside /= np.linalg.norm(aside)
    return np.column_stack((aside, np.cross(axis, aside), axis))


class Tires:
    """Random tires from 28 to 44 inches, a share of them with square shoulders, and where obstacles lie to them."""

    def __init__(self, count: int, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.axis = unit(self.random.normal(size=(count, 3)))
        free = self.random.uniform(350.0, 560.0, count)
        self.shoulder = free * self.random.choice([0.0, 0.03, 0.06, 0.12], count)
        self.half = 0.5 * self.random.uniform(230.0, 400.0, count) - self.shoulder
        self.radius = free - self.shoulder
        reach = self.random.choice([60.0, 250.0, 600.0], (count, 1, 1))  # deep inside, about the rim, around
        self.middle = reach * self.random.normal(size=(count, 1, 3))

    def solid(self, item: int) -> tuple[coal.CollisionGeometry, coal.Transform3s]:
        solid = coal.Cylinder(self.radius[item], 2.0 * self.half[item])
        solid.setSweptSphereRadius(self.shoulder[item])
        return solid, coal.Transform3s(frame(self.axis[item]), np.zeros(3))

    def differences(
        self, vertices: Floats, swept: Floats, hulls: list[coal.CollisionGeometry], places: list[coal.Transform3s]
    ) -> Floats:
        """Our clearance less the library's, after a look at whether all depths are there."""
        found = separation(self.axis, self.half, self.radius, vertices)
        ours = found.gap - self.shoulder - swept
        assert np.sum(found.gap < -100.0) > 300
        assert np.sum((found.gap < 0.0) & (found.gap > -100.0)) > 1000
        assert np.sum(found.gap > 0.0) > 1000
        request, result = coal.DistanceRequest(), coal.DistanceResult()
        request.epa_tolerance, request.epa_max_iterations = 1e-8, 1000
        theirs = np.empty(ours.size)
        for item, (hull, place) in enumerate(zip(hulls, places, strict=True)):
            result.clear()
            theirs[item] = coal.distance(*self.solid(item), hull, place, request, result)
        return ours - theirs


def test_ten_thousand_bars() -> None:
    tires = Tires(10_000, seed=71)
    random = tires.random
    along = unit(random.normal(size=(10_000, 1, 3)))
    along[:500, 0] = tires.axis[:500]
    length = random.uniform(60.0, 2000.0, (10_000, 1, 1))
    vertices = tires.middle + 0.5 * length * along * np.array([[-1.0], [1.0]])
    tube = random.uniform(12.0, 45.0, 10_000)
    hulls = [coal.Capsule(r, long) for r, long in zip(tube, length[:, 0, 0], strict=True)]
    places = [coal.Transform3s(frame(way), m) for way, m in zip(along[:, 0], tires.middle[:, 0], strict=True)]
    assert np.abs(tires.differences(vertices, tube, hulls, places)).max() < AGREE


def test_ten_thousand_panels() -> None:
    """Convex facets of three to seven corners, swept by half a sheet's thickness."""
    tires = Tires(10_000, seed=72)
    random = tires.random
    along = unit(random.normal(size=(10_000, 1, 3)))
    aside = unit(np.cross(along, random.normal(size=(10_000, 1, 3))))
    aside[:500, 0] = unit(np.cross(along[:500, 0], tires.axis[:500]))  # facets that hold the axis' direction
    turn = np.sort(random.uniform(0.0, 2.0 * np.pi, (10_000, 7)), axis=1)
    corners = random.integers(3, 8, 10_000)
    turn = np.where(np.arange(7) < corners[:, None], turn, np.take_along_axis(turn, corners[:, None] - 1, axis=1))
    size = random.uniform(60.0, 900.0, (10_000, 1, 1))
    outline = (
        np.cos(turn)[..., None] * along + random.uniform(0.3, 1.0, (10_000, 1, 1)) * np.sin(turn)[..., None] * aside
    )
    vertices = tires.middle + size * outline
    sheet = random.uniform(0.5, 3.0, 10_000)
    hulls = [facet(v[:n], s) for v, n, s in zip(vertices, corners, sheet, strict=True)]
    places = [coal.Transform3s()] * 10_000
    assert np.abs(tires.differences(vertices, sheet, hulls, places)).max() < AGREE


def facet(corners: Floats, sheet: float) -> coal.CollisionGeometry:
    """A flat convex hull: both sides of a fan of triangles."""
    points, fan = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    for corner in corners:
        points.append(corner)
    for k in range(1, len(corners) - 1):
        fan.append(coal.Triangle(0, k, k + 1))
        fan.append(coal.Triangle(0, k + 1, k))
    hull = coal.Convex(points, fan)
    hull.setSweptSphereRadius(sheet)
    return hull
