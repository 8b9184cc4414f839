from __future__ import annotations

import dataclasses
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, QSizeF
from PySide6.QtGui import QImage, QPainter

from app.canvas.marks import MOST_LABELS, SIZE, legend, paint_glyph, place_labels, spots_of, summary
from app.canvas.scene import Drawing, drawing_of
from app.canvas.style import DARK_STYLE, LIGHT_STYLE, DrawStyle
from app.canvas.viewport import Viewport
from app.units import LengthUnit
from geometry.contact.findings import Approach, PairName, Verdict
from geometry.motion.placement import place
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.outline.view import FRONT, SIDE, TOP, Floats
from geometry.rig.layout import BarPath
from geometry.rig.naming import link_part, tire_part
from geometry.rig.rig import Rig
from tests.app.canvas.conftest import MakeApproach

pytestmark = pytest.mark.usefixtures("qapp")

PT = 4.0
FRAME = QRectF(-3200.0, -2000.0, 4400.0, 2600.0)


@pytest.fixture
def many(approach: MakeApproach, bars: dict[tuple[str, str], BarPath]) -> list[Approach]:
    return [approach(bar, 3.0 * index - 12.0) for index, bar in enumerate(bars)][:12]


def drawn(rig: Rig, approaches: list[Approach], **more: object) -> Drawing:
    return drawing_of(rig, approaches=approaches, active_axle="rear", **more)  # type: ignore[arg-type]


def test_a_label_tells_the_distance_rounded_down_and_what_it_is_to(
    rig: Rig, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    bar = next(bar for bar in bars.values() if bar.part.side == "left")
    found = approach((bar.part.id, "left"), 12.6)
    (spot,) = spots_of(TOP, drawn(rig, [found]), PT)
    assert spot.words == f"7/16 in {bar.part.label}"
    (spot,) = spots_of(TOP, drawn(rig, [found], unit=LengthUnit.MM), PT)
    assert spot.words == f"12.6 mm {bar.part.label}"


def test_a_mark_of_another_pose_says_so_in_its_label_and_the_view_says_what_hollow_means(
    rig: Rig, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    bar = next(bar for bar in bars.values() if bar.part.side == "left")
    found = approach((bar.part.id, "left"), -6.0, pose=TravelPose(50.0, 50.0))
    elsewhere, there = drawn(rig, [found]), drawn(rig, [found], poses={"rear": found.pose})
    assert spots_of(TOP, elsewhere, PT)[0].words == f"worst: −1/4 in {bar.part.label}"
    assert spots_of(TOP, there, PT)[0].words == f"−1/4 in {bar.part.label}"
    assert spots_of(TOP, elsewhere, PT)[0].place == spots_of(TOP, there, PT)[0].place
    for view in (SIDE, FRONT, TOP):
        assert "another pose" in legend(view, elsewhere)
        assert not legend(view, there)
    assert not legend(FRONT, drawing_of(rig, approaches=[found], active_axle="front"))


@pytest.mark.parametrize("pose", [RIDE_HEIGHT, TravelPose(60.0, -40.0)])
def test_a_mark_on_a_link_goes_with_the_link(rig: Rig, pose: TravelPose) -> None:
    axle = rig.axle("rear")
    rod, worst = axle.rods[0], TravelPose(axle.bump, axle.bump)
    ends = {each: place(axle, each).rods[0] for each in (pose, worst)}
    at = ends[worst][0] + 0.7 * (ends[worst][1] - ends[worst][0]) + rod.od / 2.0 * across(*ends[worst])
    found = Approach(
        axle="rear",
        kind="tire_link",
        moving=tire_part(axle, "left"),
        fixed=link_part(axle, rod),
        wanted=12.7,
        low=5.0,
        high=5.2,
        beyond=False,
        settled=True,
        pose=worst,
        on_moving=(0.0, 0.0, 0.0),
        on_fixed=tuple(at.tolist()),
    )
    (mark,) = drawn(rig, [found], poses={"rear": pose}).marks
    assert mark.place == pytest.approx(ends[pose][0] + 0.7 * (ends[pose][1] - ends[pose][0]), abs=1e-6)
    (mark,) = drawn(rig, [found], poses={"rear": worst}).marks
    assert mark.place == pytest.approx(at)


def across(start: Floats, end: Floats) -> Floats:
    """A unit vector at right angles to a rod."""
    side = np.cross(end - start, [0.0, 0.0, 1.0])
    return side / float(np.linalg.norm(side))


def test_labels_cover_neither_each_other_nor_any_mark_and_stay_inside(rig: Rig, many: list[Approach]) -> None:
    for view in (SIDE, FRONT, TOP):
        spots = spots_of(view, drawn(rig, many), PT)
        viewport = Viewport(QSizeF(900.0, 700.0), QPointF(), 1.0 / PT)
        frame = viewport.fitted(QRectF(-3200.0, -1800.0, 4000.0, 2200.0)).frame if view is SIDE else FRAME
        rooms = [room for room in place_labels(spots, LIGHT_STYLE, PT, frame) if room is not None]
        assert rooms
        assert not any(one.intersects(other) for one, other in combinations(rooms, 2))
        assert all(frame.contains(room) for room in rooms)
        reach = SIZE * PT * 0.99
        glyphs = [QRectF(s.place.x() - reach, s.place.y() - reach, 2 * reach, 2 * reach) for s in spots]
        assert not any(room.intersects(glyph) for room in rooms for glyph in glyphs)


def test_only_the_most_telling_places_are_labelled(rig: Rig, many: list[Approach]) -> None:
    spots = spots_of(SIDE, drawn(rig, many), 0.01)
    rooms = place_labels(spots, LIGHT_STYLE, 0.01, FRAME)
    assert len(spots) > MOST_LABELS
    assert [room is not None for room in rooms] == [index < MOST_LABELS for index in range(len(spots))]


def test_a_small_view_has_fewer_labels_but_never_none(rig: Rig, many: list[Approach]) -> None:
    spots = spots_of(SIDE, drawn(rig, many), 0.01)
    for width, labels in ((1200.0, MOST_LABELS), (300.0, 2), (240.0, 1)):
        frame = QRectF(-4500.0, -3500.0, 6000.0, 6000.0)
        rooms = place_labels(spots, LIGHT_STYLE, 6000.0 / width, frame)
        assert sum(room is not None for room in rooms) == labels


def test_marks_that_would_lie_on_each_other_are_one_with_a_count(
    rig: Rig, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    first = approach(next(iter(bars)), -6.0)
    others = [
        dataclasses.replace(
            approach(bar, -3.0), on_fixed=first.on_fixed, fixed=dataclasses.replace(bars[bar].part, label=f"bar {n}")
        )
        for n, bar in enumerate(list(bars)[1:3])
    ]
    (spot,) = spots_of(SIDE, drawn(rig, [*others, first]), PT)
    assert spot.mark.approach is first
    assert spot.words.endswith("+2")


def test_mirror_twins_are_one_mark_in_the_side_view_and_two_in_the_front_view(
    rig: Rig, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    name = next(id_ for id_, side in bars if side == "left" and (id_, "right") in bars)
    twins = [approach((name, side), -3.0) for side in ("left", "right")]
    (spot,) = spots_of(SIDE, drawn(rig, twins), PT)
    assert "left" not in spot.words
    assert "+" not in spot.words
    assert len(spots_of(FRONT, drawn(rig, twins), PT)) == 2


def test_the_front_view_marks_only_the_axle_that_it_is_about(
    rig: Rig, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    both = [approach(bar, -3.0, axle=axle) for bar, axle in zip(bars, ("rear", "front"), strict=False)]
    assert [spot.mark.approach.axle for spot in spots_of(FRONT, drawn(rig, both), PT)] == ["rear"]
    assert len(spots_of(SIDE, drawn(rig, both), 0.01)) == 2


def test_the_selected_pair_comes_first(rig: Rig, many: list[Approach]) -> None:
    last = many[-1]
    pair = PairName(last.kind, last.moving, last.fixed)
    spots = spots_of(TOP, drawn(rig, many, selection=pair), 0.01)
    assert spots[0].selected
    assert spots[0].mark.approach is last
    assert not any(spot.selected for spot in spots[1:])


@pytest.mark.parametrize("style", [LIGHT_STYLE, DARK_STYLE])
@pytest.mark.parametrize("hollow", [False, True])
def test_verdicts_differ_in_shape_and_not_only_in_colour(style: DrawStyle, hollow: bool) -> None:
    shapes = [glyph(verdict, style, hollow=hollow) for verdict in Verdict]
    for one, other in combinations(shapes, 2):
        differing = sum(
            one.pixelColor(x, y) != other.pixelColor(x, y) for x in range(one.width()) for y in range(one.height())
        )
        assert differing > 0.1 * one.width() * one.height()


def glyph(verdict: Verdict, style: DrawStyle, *, hollow: bool) -> QImage:
    """A verdict's mark, all in one colour."""
    grey = QImage(24, 24, QImage.Format.Format_Grayscale8)
    grey.fill(style.colours.sheet)
    painter = QPainter(grey)
    painter.translate(12.0, 12.0)
    paint_glyph(painter, verdict, style.colours.contact, style, hollow=hollow)
    painter.end()
    return grey


def test_the_summary_counts_and_names_the_worst(rig: Rig, many: list[Approach]) -> None:
    words = summary(drawn(rig, many))
    assert f"worst left rear tire to {many[0].fixed.label}, -1/2 in" in words
    assert "4 contact" in words
    assert summary(drawn(rig, [])) == "No clearance is marked."
