"""Drawing with real mouse and key events on one view that is turned at need."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.canvas.drawing.bar import BarMode
from app.canvas.drawing.cutting import ExtendMode, SplitMode
from app.canvas.drawing.measure import MeasureMode
from app.canvas.drawing.painting import COARSER, DENSEST, SIGNS, paint_grid
from app.canvas.drawing.panel import PanelMode
from app.canvas.drawing.settings import DrawingSettings
from app.canvas.drawing.snapping import Snapping
from app.canvas.modes import Modes
from app.canvas.rig_view import RigView
from app.canvas.style import LIGHT_STYLE
from app.document import Document
from app.units import LengthUnit
from geometry.outline.view import SIDE
from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig
from tests.app.sketching import LEFT, NONE, click, draw, look_at, move_to, pixel, press

Enter = Callable[[type[Snapping]], Snapping]
CONTROL = Qt.KeyboardModifier.ControlModifier
A, B, C, D = (500.0, 300.0, 600.0), (1000.0, 300.0, 600.0), (1000.0, 300.0, 1000.0), (1500.0, 400.0, 800.0)


@pytest.fixture
def document(rig: Rig) -> Document:
    """Two bars and a lonely node of one's own."""
    nodes = tuple(Node(id=name, at=at) for name, at in zip("abcd", (A, B, C, D), strict=True))
    bars = (
        Bar(id="low", nodes=("a", "b"), od=40.0, wall=3.0, mirrored=True),
        Bar(id="up", nodes=("b", "c"), od=40.0, wall=3.0, mirrored=True),
    )
    return Document(replace(rig, nodes=nodes, bars=bars, panels=()), unit=LengthUnit.MM)


@pytest.fixture
def modes(document: Document) -> Modes:
    return Modes(document)


@pytest.fixture
def settings(document: Document) -> DrawingSettings:
    settings = DrawingSettings(document)
    settings.set_plane(SIDE, 300.0)
    return settings


@pytest.fixture
def side(qtbot: QtBot, document: Document, modes: Modes) -> RigView:
    view = RigView(document, "side", modes=modes)
    qtbot.addWidget(view)
    view.resize(900, 700)
    with qtbot.waitExposed(view):
        view.show()
    view.setFocus()
    return view


@pytest.fixture
def enter(document: Document, modes: Modes, settings: DrawingSettings) -> Enter:
    def turn_on(kind: type[Snapping]) -> Snapping:
        mode = kind(document, settings)
        modes.enter(mode)
        return mode

    return turn_on


def points(rig: Rig, bar: Bar) -> list[tuple[float, float, float]]:
    at = {node.id: node.at for node in rig.nodes}
    return [at[ref] for ref in bar.nodes]


# Bars


def test_a_bar_snaps_to_nodes_and_grid_and_takes_its_depth_from_node_or_work_plane(
    side: RigView, document: Document, settings: DrawingSettings, enter: Enter
) -> None:
    enter(BarMode)
    settings.set_plane(SIDE, 250.0)
    draw(side, [D, (1800.0, 0.0, 1200.0)])
    bar = document.rig.bars[-1]
    assert (bar.nodes[0], points(document.rig, bar)[1]) == ("d", (1800.0, 250.0, 1200.0))
    assert (bar.od, bar.wall, bar.mirrored) == (settings.od, settings.wall, True)
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == f"Draw {document.chosen[0].label}"
    document.undo_stack.undo()
    assert [bar.id for bar in document.rig.bars] == ["low", "up"]
    assert len(document.rig.nodes) == 4


def test_several_points_are_one_tube_with_the_bend_radius_of_now(
    side: RigView, document: Document, settings: DrawingSettings, enter: Enter
) -> None:
    enter(BarMode)
    settings.set_tube(od=30.0, wall=2.0, bend_radius=100.0)
    settings.set_mirrored(False)
    for place in (A, (500.0, 0.0, 1200.0)):
        click(side, place)
    click(side, (1200.0, 0.0, 1500.0))
    QTest.mouseDClick(side, LEFT, NONE, pixel(side, (1200.0, 0.0, 1500.0)))
    bar = document.rig.bars[-1]
    assert points(document.rig, bar) == [A, (500.0, 300.0, 1200.0), (1200.0, 300.0, 1500.0)]
    assert (bar.od, bar.wall, bar.bend_radius, bar.mirrored) == (30.0, 2.0, 100.0, False)


def test_what_cannot_be_made_is_said_and_nothing_drawn_is_lost(
    side: RigView, document: Document, settings: DrawingSettings, enter: Enter
) -> None:
    mode = enter(BarMode)
    settings.set_tube(bend_radius=900.0)
    places = [A, (500.0, 300.0, 1000.0), (800.0, 300.0, 1000.0)]
    draw(side, places)
    assert document.undo_stack.count() == 0
    assert "bend" in mode.words
    assert side.readout() == (mode.words,)
    assert mode.points == places
    settings.set_tube(bend_radius=60.0)
    press(side, Qt.Key.Key_Return)
    assert document.undo_stack.count() == 1


def test_backspace_takes_a_point_back_and_a_bar_of_one_point_is_refused(
    side: RigView, document: Document, enter: Enter
) -> None:
    mode = enter(BarMode)
    click(side, A)
    click(side, D)
    press(side, Qt.Key.Key_Backspace)
    assert mode.points == [A]
    press(side, Qt.Key.Key_Return)
    assert "two points" in mode.words
    click(side, A)
    assert mode.words.startswith("That is the last point again")
    assert mode.points == [A]
    assert document.undo_stack.count() == 0


def test_ctrl_leaves_out_all_snapping(side: RigView, enter: Enter, settings: DrawingSettings) -> None:
    mode = enter(BarMode)
    look_at(side, D)
    spot = pixel(side, D) + QPoint(3, 2)
    QTest.mouseClick(side, LEFT, CONTROL, spot)
    at = side.viewport.to_view(spot.toPointF())
    assert mode.points == [(pytest.approx(-at.x()), settings.planes["side"], pytest.approx(-at.y()))]


def test_a_work_plane_chosen_after_a_point_counts_though_the_next_one_is_level_with_it(
    side: RigView, enter: Enter, settings: DrawingSettings
) -> None:
    mode = enter(BarMode)
    click(side, D)
    click(side, (1700.0, 0.0, 800.0))
    assert mode.points[-1] == (1700.0, 400.0, 800.0)
    settings.set_plane(SIDE, 350.0)
    click(side, (1900.0, 0.0, 800.0))
    assert mode.points[-1] == (1900.0, 350.0, 800.0)


def test_the_words_at_the_pointer_name_snap_length_angle_and_depth(side: RigView, enter: Enter) -> None:
    mode = enter(BarMode)
    click(side, (500.0, 300.0, 600.0))
    pointer = side._in_view(pixel(side, (500.0, 300.0, 600.0)).toPointF(), NONE)
    assert mode.pointer_words(mode.snap_at(pointer)) == ("Node a, end of low", "300.0 mm left of centre, work plane")
    look_at(side, C)
    move_to(side, C)
    meant = mode.snap_at(mode._pointer)  # type: ignore[arg-type]
    assert mode.pointer_words(meant)[:2] == ("Node c, end of up", "640.3 mm long, 141.3°")


def test_every_kind_of_snap_paints_a_sign_of_its_own(side: RigView, enter: Enter) -> None:
    """The marker is told by its shape, for colour alone tells nothing."""
    assert len({painter for kind, painter in SIGNS.items() if kind != "bar end"}) == len(SIGNS) - 1
    enter(BarMode)
    look_at(side, D)
    blank = side.grab().toImage()
    move_to(side, D)
    assert side.grab().toImage() != blank


# Panels


def test_a_panel_stands_on_the_nodes_that_are_clicked(side: RigView, document: Document, enter: Enter) -> None:
    mode = enter(PanelMode)
    click(side, (700.0, 300.0, 900.0))
    assert mode.words == "A panel stands on nodes; click a node, or draw the bars first."
    draw(side, [A, B, C])
    panel = document.rig.panels[-1]
    assert set(panel.facets[0]) == {"a", "b", "c"}
    assert panel.mirrored
    assert document.undo_stack.count() == 1


def test_the_first_corner_again_closes_a_panel_and_two_corners_are_refused(
    side: RigView, document: Document, enter: Enter
) -> None:
    mode = enter(PanelMode)
    draw(side, [A, B])
    assert "three nodes" in mode.words
    assert len(mode.points) == 2
    click(side, C)
    click(side, A)
    assert len(document.rig.panels) == 1


# Measuring


def test_a_distance_stays_until_the_next_click_or_escape_and_is_no_edit(
    side: RigView, document: Document, modes: Modes, enter: Enter
) -> None:
    mode = enter(MeasureMode)
    click(side, A)
    click(side, D)
    words = "Measure: 1024.7 mm apart\nalong 1000.0 mm, across 100.0 mm, up 200.0 mm"
    assert mode.words == words
    move_to(side, B)
    press(side, Qt.Key.Key_Up)
    assert mode.words == words
    press(side, Qt.Key.Key_Escape)
    assert (mode.words, modes.mode) == ("Measure: click one point", mode)
    for place in (A, D, B):
        click(side, place)
    assert mode.points == [B]
    assert not document.is_modified


# Splitting and extending


def test_a_click_on_a_bar_splits_it_there(side: RigView, document: Document, enter: Enter) -> None:
    mode = enter(SplitMode)
    click(side, (750.0, 300.0, 600.0))
    assert [bar.id for bar in document.rig.bars] == ["low", "up", "low-2"]
    assert points(document.rig, document.rig.bars[0]) == [A, (750.0, 300.0, 600.0)]
    click(side, D)
    assert mode.words == "There is no bar; click on one."
    click(side, C)
    assert "split it between its ends" in mode.words
    assert document.undo_stack.count() == 1


def test_an_end_of_a_link_is_not_in_the_way_of_a_bar_that_is_to_be_split(
    side: RigView, document: Document, enter: Enter
) -> None:
    place = (750.0, 300.0, 600.0)
    axle = document.rig.axles[0]
    rods = (replace(axle.rods[0], chassis=place), *axle.rods[1:])
    moved = replace(axle, rods=rods)
    document.replace_rig(replace(document.rig, axles=(moved, *document.rig.axles[1:])))
    mode = enter(MeasureMode)
    look_at(side, place)
    move_to(side, place)
    assert mode.snap_at(mode._pointer).kind == "joint"  # type: ignore[arg-type]
    enter(SplitMode)
    click(side, place)
    assert [bar.id for bar in document.rig.bars] == ["low", "up", "low-2"]


def test_an_end_is_extended_to_the_bar_that_is_clicked(side: RigView, document: Document, enter: Enter) -> None:
    enter(BarMode)
    draw(side, [(800.0, 300.0, 800.0), (920.0, 300.0, 800.0)])
    mode = enter(ExtendMode)
    click(side, B)
    assert mode.words.startswith("Several bars meet there")
    click(side, (900.0, 300.0, 800.0))
    assert mode.words == "Extend: click the bar that bar-1 is to meet"
    click(side, (1000.0, 300.0, 900.0))
    assert points(document.rig, document.rig.bars[-1]) == [(800.0, 300.0, 800.0), (1000.0, 300.0, 800.0)]
    assert document.undo_stack.undoText() == "Extend bar bar-1"


# Settings


def test_the_grid_goes_with_the_unit(document: Document, settings: DrawingSettings) -> None:
    words = [settings.step_words(step) for step in range(4)]
    assert words == ["1 mm", "5 mm", "10 mm", "25 mm"]
    document.set_unit(LengthUnit.FRACTION)
    assert [settings.step_words(step) for step in range(4)] == ["1/16 in", "1/8 in", "1/2 in", "1 in"]
    assert settings.grid is not None
    assert settings.grid.step == pytest.approx(12.7)
    settings.set_step(None)
    assert settings.grid is None


@pytest.mark.parametrize("tube", [{"od": 0.0}, {"wall": 40.0}, {"wall": 0.0}, {"bend_radius": -1.0}])
def test_a_tube_that_cannot_be_is_refused_in_a_sentence(settings: DrawingSettings, tube: dict[str, float]) -> None:
    before = (settings.od, settings.wall, settings.bend_radius)
    with pytest.raises(ValueError, match=r"^The .*\.$"):
        settings.set_tube(**tube)
    assert (settings.od, settings.wall, settings.bend_radius) == before


@pytest.mark.parametrize("scale", [0.02, 0.3, 1.0, 4.0])
def test_grid_lines_never_stand_closer_than_can_be_told_apart(scale: float) -> None:
    picture = QImage(900, 700, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.white)
    painter = QPainter(picture)
    painter.setClipRect(picture.rect())
    painter.scale(scale, scale)
    paint_grid(painter, 10.0, LIGHT_STYLE, 1.0 / scale)
    painter.end()
    white = QColor("white")
    lines = min(sum(picture.pixelColor(x, y) != white for x in range(900)) for y in (300, 301))
    assert 900 * min(scale / 10.0, 1.0 / DENSEST / COARSER**2) - 1 <= lines <= 900 / DENSEST + 1
