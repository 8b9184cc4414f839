from __future__ import annotations

import numpy as np
import pytest

from geometry.contact.distance import Separation, closest_points, separation, support_gap
from geometry.rig.layout import Floats

Pairs = tuple[Floats, Floats, Floats, Floats]

EXACT = 1e-6
"""Allowed error apart, and of points on their solids [mm]."""

DEPTH = 1e-4
"""Allowed error of an overlap's depth [mm]."""

CONSISTENT = 5e-7
"""Allowed difference between gap and the planes' gap across the normal [mm]."""

HALF, RADIUS = 100.0, 400.0


def unit(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def random_pairs(count: int, corners: int, reach: float, seed: int) -> Pairs:
    """Tire cores and links against segments or regular polygons, pressed flat, whose middles lie about `reach` off."""
    random = np.random.default_rng(seed)
    axis = unit(random.normal(size=(count, 3)))
    half, radius = random.uniform(0.0, 150.0, count), random.uniform(0.0, 450.0, count)
    half[::7], radius[::5] = 0.0, 0.0
    middle = random.normal(size=(count, 1, 3)) * reach
    along = unit(random.normal(size=(count, 1, 3)))
    size = random.uniform(50.0, 600.0, (count, 1, 1))
    if corners == 2:
        return axis, half, radius, middle + size * along * np.array([-1.0, 1.0])[:, None]
    aside = unit(np.cross(along, random.normal(size=(count, 1, 3))))
    turn = 2.0 * np.pi * np.arange(corners)[:, None] / corners
    return axis, half, radius, middle + size * (np.cos(turn) * along + 0.6 * np.sin(turn) * aside)


def pair(start: object, end: object, half: float = HALF, radius: float = RADIUS, axis: object = (0, 0, 1)) -> Pairs:
    return hull_pair([start, end], half, radius, axis)


def hull_pair(corners: object, half: float = HALF, radius: float = RADIUS, axis: object = (0, 0, 1)) -> Pairs:
    vertices = np.array([corners], dtype=np.float64)
    return unit(np.array([axis], dtype=np.float64)), np.array([half]), np.array([radius]), vertices


def outside_core(point: Floats, axis: Floats, half: Floats, radius: Floats) -> Floats:
    """Distance of points from cores."""
    y = np.sum(axis * point, axis=1)
    r = np.linalg.norm(point - y[:, None] * axis, axis=1)
    return np.hypot(np.maximum(np.abs(y) - half, 0.0), np.maximum(r - radius, 0.0))


def outside_hull(point: Floats, vertices: Floats) -> Floats:
    """Distance of points from segments or polygons: to the face when over it, else to the nearest edge."""
    spans = np.roll(vertices, -1, axis=1) - vertices
    off = point[:, None] - vertices
    square = np.sum(spans * spans, axis=2)
    along = np.clip(np.sum(off * spans, axis=2) / np.where(square > 0.0, square, 1.0), 0.0, 1.0)
    edge = np.linalg.norm(off - along[..., None] * spans, axis=2).min(axis=1)
    if vertices.shape[1] == 2:
        return edge
    area = np.cross(spans[:, 0], spans[:, 1])
    size = np.linalg.norm(area, axis=1, keepdims=True)
    if np.all(size < 1e-6):
        return edge
    face = area / size
    inside = np.all(np.sum(np.cross(face[:, None], spans) * off, axis=2) >= 0.0, axis=1)
    return np.where(inside, np.abs(np.sum(face * off[:, 0], axis=1)), edge)


def best_plane(pairs: Pairs, seed: int = 5) -> Floats:
    """Largest gap of planes over the whole sphere of normals, by dense sampling and ever closer samples at the best.

    The signed distance by its definition, with nothing taken from the code under test but the gap of two planes.
    """
    random = np.random.default_rng(seed)
    sphere = unit(random.normal(size=(6000, 3)))
    cap = random.normal(size=(300, 3))
    best = np.empty(len(pairs[0]))
    for item in range(best.size):
        one = tuple(part[item] for part in pairs)
        gaps = planes(sphere, one)
        starts = sphere[np.argsort(gaps)[-40::4]]
        best[item] = max(climb(start, cap, one) for start in starts)
    return best


def planes(normals: Floats, one: tuple[Floats, ...]) -> Floats:
    axis, half, radius, vertices = one
    rise = normals @ axis
    rim = np.linalg.norm(np.cross(normals, axis), axis=1)
    return np.min(normals @ vertices.T, axis=1) - half * np.abs(rise) - radius * rim


def climb(start: Floats, cap: Floats, one: tuple[Floats, ...]) -> float:
    size, normal, gap = 0.05, start, float(planes(start[None], one)[0])
    while size > 1e-9:
        tries = unit(normal + size * cap)
        gaps = planes(tries, one)
        k = int(gaps.argmax())
        if gaps[k] > gap:
            normal, gap = tries[k], float(gaps[k])
        else:
            size *= 0.4
    return gap


def check(pairs: Pairs, on_solid: float = EXACT) -> Separation:
    """Whatever must hold for any pair: finite, consistent, and proved by its own points and normal.

    The points prove that a gap is not too small apart, or a depth large enough; the normal proves the other bound.
    """
    found = separation(*pairs)
    axis, half, radius, vertices = pairs
    for part in (found.gap, found.normal, found.edge):
        assert np.all(np.isfinite(part))
    np.testing.assert_allclose(np.linalg.norm(found.normal, axis=1), 1.0, atol=1e-9)
    np.testing.assert_allclose(support_gap(found.normal, *pairs), found.gap, atol=CONSISTENT)
    on_core, on_hull = closest_points(*pairs, found)
    np.testing.assert_allclose(on_hull - on_core, found.gap[:, None] * found.normal, atol=CONSISTENT)
    assert np.all(outside_core(on_core, axis, half, radius) < on_solid)
    assert np.all(outside_hull(on_hull, vertices) < on_solid)
    lengths = np.linalg.norm(found.edge, axis=1)
    assert np.all((np.abs(lengths - 1.0) < 1e-9) | (lengths == 0.0))
    return found


@pytest.mark.parametrize("corners", [2, 3, 4, 7])
@pytest.mark.parametrize("reach", [20.0, 400.0, 1500.0])
def test_points_and_normal_prove_the_gap_of_random_pairs(corners: int, reach: float) -> None:
    found = check(random_pairs(4000, corners, reach, seed=corners))
    assert np.any(found.gap < 0.0)
    assert np.any(found.gap > 0.0)


@pytest.mark.parametrize("corners", [2, 3, 5])
def test_gap_is_the_largest_of_all_planes_gaps(corners: int) -> None:
    pairs = random_pairs(40, corners, 150.0, seed=40 + corners)
    gap = separation(*pairs).gap
    assert np.sum(gap < 0.0) > 10
    best = best_plane(pairs)
    assert np.all(best < gap + DEPTH)
    np.testing.assert_allclose(best, gap, atol=0.01)


@pytest.mark.parametrize("corners", [2, 4])
def test_any_planes_gap_is_a_lower_bound(corners: int) -> None:
    pairs = random_pairs(4000, corners, 300.0, seed=9)
    gap = separation(*pairs).gap
    random = np.random.default_rng(10)
    for _ in range(20):
        assert np.all(support_gap(unit(random.normal(size=(4000, 3))), *pairs) <= gap + EXACT)


@pytest.mark.parametrize("corners", [2, 4])
def test_planes_near_the_normal_do_not_beat_the_gap(corners: int) -> None:
    pairs = random_pairs(4000, corners, 200.0, seed=11)
    found = separation(*pairs)
    random = np.random.default_rng(12)
    for tilt in (1e-2, 1e-3, 1e-4, 1e-5, 1e-6):
        tilted = unit(found.normal + tilt * random.normal(size=(4000, 3)))
        assert np.all(support_gap(tilted, *pairs) <= found.gap + EXACT)


@pytest.mark.parametrize("corners", [2, 4])
def test_rigid_motion_keeps_the_gap_and_turns_the_rest(corners: int) -> None:
    axis, half, radius, vertices = random_pairs(2000, corners, 300.0, seed=21)
    turn, _ = np.linalg.qr(np.random.default_rng(22).normal(size=(3, 3)))
    still, turned = separation(axis, half, radius, vertices), separation(axis @ turn, half, radius, vertices @ turn)
    np.testing.assert_allclose(turned.gap, still.gap, atol=1e-6)
    solid = (radius > 0.0) & (half > 0.0)  # two crossing segments part as easily one way as the other
    agree = np.sum(turned.normal * (still.normal @ turn), axis=1)
    assert np.mean(agree[solid] > 1.0 - 1e-9) > 0.99


def test_turning_segment_end_for_end_changes_nothing_but_the_edges_sign() -> None:
    axis, half, radius, vertices = random_pairs(2000, 2, 300.0, seed=23)
    there, back = separation(axis, half, radius, vertices), separation(-axis, half, radius, vertices[:, ::-1].copy())
    np.testing.assert_allclose(there.gap, back.gap, atol=1e-7)
    np.testing.assert_allclose(there.edge, -back.edge, atol=1e-12)


def test_repeated_last_corner_changes_nothing() -> None:
    axis, half, radius, vertices = random_pairs(2000, 4, 300.0, seed=24)
    padded = np.concatenate((vertices, vertices[:, -1:], vertices[:, -1:]), axis=1)
    plain, more = separation(axis, half, radius, vertices), separation(axis, half, radius, padded)
    np.testing.assert_allclose(more.gap, plain.gap, atol=1e-9)
    np.testing.assert_allclose(more.edge, plain.edge, atol=1e-9)


def test_items_do_not_influence_each_other() -> None:
    pairs = random_pairs(300, 2, 200.0, seed=25)
    together = separation(*pairs).gap
    alone = [separation(*(part[k : k + 1] for part in pairs)).gap[0] for k in range(300)]
    np.testing.assert_allclose(together, alone, atol=EXACT)


def test_arguments_are_left_alone() -> None:
    pairs = random_pairs(200, 4, 200.0, seed=26)
    before = [part.copy() for part in pairs]
    found = separation(*pairs)
    closest_points(*pairs, found)
    for part, old in zip(pairs, before, strict=True):
        np.testing.assert_array_equal(part, old)


def test_no_items_give_no_answers() -> None:
    found = check((np.empty((0, 3)), np.empty(0), np.empty(0), np.empty((0, 2, 3))))
    assert found.gap.shape == (0,)


def test_wrong_shape_says_what_was_expected() -> None:
    axis, half, radius, vertices = random_pairs(5, 2, 100.0, seed=27)
    with pytest.raises(ValueError, match=r"expected vertices \(5, at least 2, 3\), got \(5, 1, 3\)"):
        separation(axis, half, radius, vertices[:, :1])
    with pytest.raises(ValueError, match="expected axes"):
        separation(axis, half[:3], radius, vertices)


SEGMENTS = {
    "beside the tread, parallel to the axis": (pair((500, 0, -50), (500, 0, 50)), 100.0),
    "beside the tread, parallel, longer than it": (pair((0, 450, -900), (0, 450, 900)), 50.0),
    "parallel, past the end": (pair((500, 0, 100), (500, 0, 300)), 100.0),
    "parallel, past the end and outside": (pair((430, 0, 140), (430, 0, 300)), 50.0),
    "parallel inside": (pair((300, 0, -900), (300, 0, 900)), -100.0),
    "on the axis, through": (pair((0, 0, -900), (0, 0, 900)), -400.0),
    "on the axis, from inside out": (pair((0, 0, 60), (0, 0, 900)), -40.0),
    "on the axis, beyond": (pair((0, 0, 110), (0, 0, 900)), 10.0),
    "over the flat end, across": (pair((-900, 7, 130), (900, 7, 130)), 30.0),
    "across through the axis": (pair((-900, 0, 0), (900, 0, 0)), -100.0),
    "across through the axis, off the middle": (pair((-900, 0, 80), (900, 0, 80)), -20.0),
    "across, tangent to the rim in its plane": (pair((-900, 400, 100), (900, 400, 100)), 0.0),
    "across, tangent to the tread": (pair((-900, 400, 10), (900, 400, 10)), 0.0),
    "across, a hair off the tread": (pair((-900, 400 + 1e-5, 10), (900, 400 + 1e-5, 10)), 1e-5),
    "across, a hair under the tread": (pair((-900, 400 - 1e-5, 10), (900, 400 - 1e-5, 10)), -1e-5),
    "on the flat end": (pair((-100, 0, 100), (100, 30, 100)), 0.0),
    "end on the rim": (pair((400, 0, 100), (900, 0, 700)), 0.0),
    "end outside the rim": (pair((403, 0, 104), (900, 0, 700)), 5.0),
    "a point outside": (pair((403, 0, 104), (403, 0, 104)), 5.0),
    "a point inside": (pair((0, 390, 20), (0, 390, 20)), -10.0),
    "a point in the middle": (pair((0, 0, 0), (0, 0, 0)), -100.0),
    "a point on the axis of a long core": (pair((0, 0, 0), (0, 0, 0), half=900.0), -400.0),
    "a point on the rim": (pair((400, 0, 100), (400, 0, 100)), 0.0),
    "link, crossing": (pair((-50, 0, 10), (70, 0, 10), radius=0.0), 0.0),
    "link, meeting at an end": (pair((0, 0, 100), (70, 0, 300), radius=0.0), 0.0),
    "link, crossing apart": (pair((-50, 4, 10), (70, 4, 10), radius=0.0), 4.0),
    "link, along the same line": (pair((0, 0, 40), (0, 0, 300), radius=0.0), 0.0),
    "link, along the same line apart": (pair((0, 0, 130), (0, 0, 300), radius=0.0), 30.0),
    "link, side by side": (pair((3, 4, -300), (3, 4, 300), radius=0.0), 5.0),
    "sphere's centre off": (pair((-50, 4, 3), (70, 4, 3), half=0.0, radius=0.0), 5.0),
    "sphere's centre on": (pair((-50, 0, 0), (70, 0, 0), half=0.0, radius=0.0), 0.0),
    "sphere's centre on, along its axis": (pair((0, 0, -50), (0, 0, 70), half=0.0, radius=0.0), 0.0),
    "sphere's centre on a point": (pair((0, 0, 0), (0, 0, 0), half=0.0, radius=0.0), 0.0),
    "disc pierced": (pair((30, 0, -50), (30, 0, 70), half=0.0), -50.0),
    "disc beside": (pair((430, 0, 40), (430, 90, 40), half=0.0), 50.0),
    "disc in its plane": (pair((-900, 0, 0), (900, 0, 0), half=0.0), 0.0),
}


@pytest.mark.parametrize(("pairs", "gap"), SEGMENTS.values(), ids=SEGMENTS.keys())
def test_special_segments(pairs: Pairs, gap: float) -> None:
    assert check(pairs).gap[0] == pytest.approx(gap, abs=EXACT)


@pytest.mark.parametrize(("pairs", "gap"), SEGMENTS.values(), ids=SEGMENTS.keys())
@pytest.mark.parametrize("amount", [1e-15, 1e-13, 1e-11, 1e-9, 1e-7])
def test_special_segments_slightly_off(pairs: Pairs, gap: float, amount: float) -> None:
    random = np.random.default_rng(31)
    axis, half, radius, vertices = (np.repeat(part, 200, axis=0) for part in pairs)
    axis = unit(axis + amount * random.normal(size=axis.shape))
    vertices = vertices + amount * 1000.0 * random.normal(size=vertices.shape)
    found = check((axis, half, radius, vertices), on_solid=1e-3)  # a hair decides between points far apart
    np.testing.assert_allclose(found.gap, gap, atol=EXACT + 8000.0 * amount)


@pytest.mark.parametrize(("pairs", "gap"), SEGMENTS.values(), ids=SEGMENTS.keys())
def test_special_segments_turned(pairs: Pairs, gap: float) -> None:
    axis, half, radius, vertices = (np.repeat(part, 100, axis=0) for part in pairs)
    turn, _ = np.linalg.qr(np.random.default_rng(32).normal(size=(100, 3, 3)))
    found = check((np.einsum("ni,nij->nj", axis, turn), half, radius, vertices @ turn))
    np.testing.assert_allclose(found.gap, gap, atol=EXACT)


SQUARE = ((-900, -900), (900, -900), (900, 900), (-900, 900))
POLYGONS = {
    "over the flat end": (hull_pair([(x, y, 120) for x, y in SQUARE]), 20.0),
    "over the flat end, small": (hull_pair([(x / 9, y / 9, 120) for x, y in SQUARE]), 20.0),
    "on the flat end": (hull_pair([(x, y, 100) for x, y in SQUARE]), 0.0),
    "through the middle, across": (hull_pair([(x, y, 0) for x, y in SQUARE]), -100.0),
    "small, inside, across": (hull_pair([(x / 90, y / 90, 60) for x, y in SQUARE]), -40.0),
    "beside the tread": (hull_pair([(430, x, y) for x, y in SQUARE]), 30.0),
    "touching the tread": (hull_pair([(400, x, y) for x, y in SQUARE]), 0.0),
    "through the axis": (hull_pair([(0, x, y) for x, y in SQUARE]), -400.0),
    "edge into the tread": (hull_pair([(350, 0, -900), (350, 0, 900), (950, 0, 900), (950, 0, -900)]), -50.0),
    "beside, in the flat end's plane": (hull_pair([(450, 0, 100), (700, -90, 100), (700, 90, 100)]), 50.0),
    "no area": (hull_pair([(500, 0, -50), (500, 0, 50), (500, 0, 50)]), 100.0),
    "a point": (hull_pair([(403, 0, 104)] * 4), 5.0),
    "link piercing": (hull_pair([(x, y, 60) for x, y in SQUARE], radius=0.0), -40.0),
    "link short of": (hull_pair([(x, y, 160) for x, y in SQUARE], radius=0.0), 60.0),
    "link in the plane, inside": (hull_pair([(0, x, y) for x, y in SQUARE], radius=0.0), 0.0),
    "link in the plane, beside": (hull_pair([(x + 950, 0, y) for x, y in SQUARE], radius=0.0), 50.0),
    "sphere's centre over": (hull_pair([(7, x, y) for x, y in SQUARE], half=0.0, radius=0.0), 7.0),
    "sphere's centre in": (hull_pair([(0, x, y) for x, y in SQUARE], half=0.0, radius=0.0), 0.0),
}


@pytest.mark.parametrize(("pairs", "gap"), POLYGONS.values(), ids=POLYGONS.keys())
def test_special_polygons(pairs: Pairs, gap: float) -> None:
    assert check(pairs).gap[0] == pytest.approx(gap, abs=EXACT)


@pytest.mark.parametrize(("pairs", "gap"), POLYGONS.values(), ids=POLYGONS.keys())
def test_special_polygons_turned(pairs: Pairs, gap: float) -> None:
    axis, half, radius, vertices = (np.repeat(part, 100, axis=0) for part in pairs)
    turn, _ = np.linalg.qr(np.random.default_rng(33).normal(size=(100, 3, 3)))
    found = check((np.einsum("ni,nij->nj", axis, turn), half, radius, vertices @ turn))
    np.testing.assert_allclose(found.gap, gap, atol=EXACT)


@pytest.mark.parametrize("corners", [2, 3, 4, 5])
@pytest.mark.parametrize("turned", [False, True])
def test_coincidences_of_a_lattice(corners: int, turned: bool) -> None:
    """Sizes and places in steps of 50 mm: edges in planes, through axes, on rims, parallel, coplanar, all at once."""
    random = np.random.default_rng(35)
    count = 8000
    basis = np.eye(3)
    axis = basis[random.integers(0, 3, count)] * random.choice([-1.0, 1.0], (count, 1))
    half, radius = random.choice([0.0, 50.0, 100.0], count), random.choice([0.0, 100.0, 200.0, 400.0], count)
    if corners == 2:
        vertices = random.integers(-6, 7, (count, 2, 3)) * 50.0
    else:
        outlines = {3: "-- +- 0+", 4: "-- +- ++ -+", 5: "-- +- ++ -+ -+"}
        outline = np.array([["-0+".index(c) - 1.0 for c in corner] for corner in outlines[corners].split()])
        legs = basis[random.permuted(np.tile(np.arange(3), (count, 1)), axis=1)[:, :2]]
        size = random.choice([50.0, 100.0, 200.0, 400.0], (count, 1, 1))
        vertices = random.integers(-6, 7, (count, 1, 3)) * 50.0 + size * (outline @ legs)
    if turned:
        turn, _ = np.linalg.qr(random.normal(size=(count, 3, 3)))
        axis, vertices = np.einsum("ni,nij->nj", axis, turn), vertices @ turn
    check((axis, half, radius, vertices))


def test_two_corners_twice_are_a_segment() -> None:
    axis, half, radius, vertices = random_pairs(1000, 2, 300.0, seed=34)
    segment = separation(axis, half, radius, vertices)
    flat = separation(axis, half, radius, np.concatenate((vertices, vertices[:, 1:]), axis=1))
    np.testing.assert_allclose(flat.gap, segment.gap, atol=EXACT)
    np.testing.assert_allclose(np.abs(np.sum(flat.edge * segment.edge, axis=1)), 1.0, atol=1e-9)


def test_segment_without_length_has_no_edge() -> None:
    assert np.all(check(pair((403, 0, 104), (403, 0, 104))).edge == 0.0)


def test_edge_is_the_one_nearest_to_a_point_on_the_face() -> None:
    face = hull_pair([(-300, -300, 120), (310, -300, 120), (310, 300, 120), (-300, 300, 120)], radius=0.0)
    face[3][0, :, 1] += 250.0  # the edge along x at y = -50 is now the nearest
    assert np.abs(check(face).edge[0]) == pytest.approx([1.0, 0.0, 0.0])


def test_shoulders_of_a_link_are_balls_about_its_axis() -> None:
    """Two capsules crossed at right angles, radii 1 and 0.75, axes 4 apart, as cores without radius."""
    found = check(pair((-10, 4, 0), (10, 4, 0), half=10.0, radius=0.0))
    assert found.gap[0] - 1.0 - 0.75 == pytest.approx(2.25, abs=1e-9)
    assert found.normal[0] == pytest.approx([0.0, 1.0, 0.0])
