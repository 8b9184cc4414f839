"""The demo rigs hold what the issue promises: real frames without loose tubes, and verdicts worth looking at."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from app import study
from app.files.rig_file import read_rig, rig_to_bytes
from geometry.contact.findings import Verdict
from geometry.rig.layout import Floats, bar_paths, node_points, panel_facets
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions

ASSETS = Path(__file__).parents[2] / "assets"
SHORT = ASSETS / "1-short-two-seat.rig.json"
LONG = ASSETS / "2-long-four-seat.rig.json"
LEAF = ASSETS / "3-leaf-sprung-trail.rig.json"
every = pytest.mark.parametrize("path", [SHORT, LONG, LEAF], ids=["short", "long", "leaf"])


def load(path: Path) -> Rig:
    return read_rig(path)


def distance_to_path(point: Floats, path: Floats) -> float:
    starts, legs = path[:-1], np.diff(path, axis=0)
    share = np.clip(((point - starts) * legs).sum(1) / (legs * legs).sum(1), 0.0, 1.0)
    return float(np.linalg.norm(starts + share[:, None] * legs - point, axis=1).min())


@every
def test_ids_are_unique_and_references_exist(path: Path) -> None:
    rig = load(path)
    for parts in (rig.nodes, rig.bars, rig.panels, rig.axles):
        assert len({part.id for part in parts}) == len(parts)
    known = node_points(rig)
    assert all(ref in known for bar in rig.bars for ref in bar.nodes)
    assert all(ref in known for panel in rig.panels for loop in panel.facets for ref in loop)


@every
def test_every_node_is_used_by_a_bar(path: Path) -> None:
    rig = load(path)
    assert {node.id for node in rig.nodes} == {ref.rstrip("'") for bar in rig.bars for ref in bar.nodes}


@every
def test_every_bar_end_lands_in_another_tube(path: Path) -> None:
    tubes = list(bar_paths(load(path)))
    for tube in tubes:
        for end in (tube.points[0], tube.points[-1]):
            others = [t for t in tubes if t.part != tube.part and distance_to_path(end, t.points) < t.radius]
            assert others, f"{tube.part.label} ends loose at {end}"


@every
def test_no_bar_lies_twice(path: Path) -> None:
    tubes = [np.round(tube.points, 3) for tube in bar_paths(load(path))]
    laid = {min(t.tobytes(), t[::-1].tobytes()) for t in tubes}
    assert len(laid) == len(tubes)


@every
def test_the_frame_is_the_same_on_both_sides(path: Path) -> None:
    ends = {tuple(np.round(e, 3) + 0.0) for tube in bar_paths(load(path)) for e in (tube.points[0], tube.points[-1])}
    assert ends == {(x, -y + 0.0, z) for x, y, z in ends}


def test_the_long_rig_has_about_120_bars_and_six_panels() -> None:
    rig = load(LONG)
    assert abs(len(list(bar_paths(rig))) - 120) <= 8
    assert len(list(panel_facets(rig))) == 6


def test_the_long_rig_steers_on_three_links_and_a_lateral_bar() -> None:
    front = load(LONG).axle("front")
    assert front.steering is not None
    spans = [abs(rod.chassis[1] - rod.axle[1]) for rod in front.rods]
    lengths = [np.linalg.norm(np.subtract(rod.chassis, rod.axle)) for rod in front.rods]
    assert sum(span > 0.9 * length for span, length in zip(spans, lengths, strict=True)) == 1


@every
def test_the_files_are_as_the_program_writes_them(path: Path) -> None:
    assert path.read_bytes() == rig_to_bytes(load(path))


@every
def test_the_tires_stand_on_the_ground(path: Path) -> None:
    for axle in load(path).axles:
        assert tire_dimensions(axle.tire).loaded_radius == axle.height


def test_the_short_rig_touches_a_lower_bar_about_an_inch_before_full_stuff() -> None:
    found = study.check(load(SHORT))
    worst = found.approaches[0]
    assert found.verdict is Verdict.CONTACT
    assert (worst.axle, worst.kind, worst.fixed.id) == ("rear", "tire_bar", "rub-rail")
    assert worst.start_straight is not None
    bump_left = found.rig.axle("rear").bump - worst.start_straight.high
    assert 25.4 < bump_left < 50.8
    assert all(a.verdict is Verdict.CLEAR for a in found.approaches if a.axle == "front")


@pytest.mark.slow
def test_the_short_rig_has_a_sound_window_a_little_wider() -> None:
    rig = load(SHORT)
    drawn = rig.axle("rear").width
    (window,) = study.width_curve(rig, "rear", drawn - 50.8, drawn + 203.2).windows
    assert 50.8 < window.low.width - drawn < 101.6
    assert window.low.reason is not None
    assert window.low.reason.fixed.id == "rub-rail"
    assert window.high.width - window.low.width > 76.2


def test_the_long_rig_is_clear_as_drawn_with_little_to_spare() -> None:
    found = study.check(load(LONG))
    assert found.verdict is Verdict.CLEAR
    assert found.approaches[0].margin < 19.05


@pytest.mark.slow
def test_the_long_rig_has_a_window_around_the_drawn_rear_width() -> None:
    rig = load(LONG)
    drawn = rig.axle("rear").width
    (window,) = study.width_curve(rig, "rear", drawn - 76.2, drawn + 76.2).windows
    assert window.low.width < drawn < window.high.width


def test_the_leaf_sprung_rig_is_clear_as_drawn_and_its_springs_are_what_comes_nearest() -> None:
    found = study.check(load(LEAF))
    assert found.verdict is Verdict.CLEAR
    assert all(axle.leaf_springs is not None and axle.rods == () for axle in found.rig.axles)
    assert found.approaches[0].fixed.kind == "leaf spring"
    assert found.approaches[0].margin < 19.05
    kinds = {part.kind for each in found.approaches for part in (each.moving, each.fixed)}
    assert {"leaf spring", "shackle"} <= kinds
