"""All bounds in the width strip: each with its line, words that meet nothing, a value, and a switch."""

from __future__ import annotations

from dataclasses import replace as changed
from itertools import combinations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QPalette
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import change_rig, set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.width_bounds import DASHES, bound_pen, rule_bounds
from app.panels.width_picture import WidthPicture, WidthScene
from app.panels.width_strip import WidthStrip
from app.rule_book import RuleBook
from app.study import width_curve
from app.theme import DARK, LIGHT
from app.units import LengthUnit
from app.width_rules import CLEARANCE, KnownRules
from geometry.contact.findings import WidthBound, WidthCurve
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from tests.app.panels.answers import curve_of


def wide_curve(rig: Rig) -> WidthCurve:
    """A curve on which clearance bounds at 69 1/2 in, looked at up to 80 in."""
    curve = curve_of(rig)
    (window,), end = curve.windows, 80.0 * INCH
    samples = (*curve.samples[:-1], changed(curve.samples[-1], width=end))
    return changed(curve, samples=samples, windows=(changed(window, high=WidthBound(end, end, None)),))


@pytest.fixture
def document() -> Document:
    return Document(read_rig(next(path for path in demo_rigs() if "long" in path.stem)), unit=LengthUnit.FRACTION)


@pytest.fixture
def strip(qtbot: QtBot, document: Document) -> WidthStrip:
    strip = WidthStrip(document, RuleBook(document))
    qtbot.addWidget(strip)
    strip.resize(900, 300)
    strip.show()
    document.take_curve(document.rig, wide_curve(document.rig))
    return strip


def kinds(strip: WidthStrip) -> set[str]:
    """Kinds of the bounds whose lines are drawn."""
    return {each.bound.kind for each in strip.plot._picture().bounds}


def test_the_long_rig_shows_four_kinds_of_bound_and_hiding_clearance_leaves_the_others(
    qtbot: QtBot, strip: WidthStrip
) -> None:
    shown = kinds(strip)
    assert {"contact", "trail limit", "stability", "rail pocket"} <= shown
    together = strip.plot._picture().scene.together
    clearance = strip.rules.rows[0]
    assert clearance.state.key == CLEARANCE
    clearance.setFocus()
    qtbot.keyClick(clearance, Qt.Key.Key_Space)
    assert kinds(strip) == shown - {"contact"}
    assert not strip.plot._picture().scene.clearance
    wider = strip.plot._picture().scene.together
    assert together[0][0] == pytest.approx(69.5 * INCH)
    assert wider[0][0] < together[0][0]
    assert wider[0][1] == together[0][1]
    assert "All rules that are on hold from 68 1/2" in strip._window_words.toolTip()
    qtbot.mouseClick(clearance, Qt.MouseButton.LeftButton, pos=clearance.rect().center())
    assert kinds(strip) == shown


def test_the_searched_curve_of_the_long_rig_gives_the_bound_of_clearance_by_name(
    document: Document, strip: WidthStrip
) -> None:
    curve = width_curve(document.rig, "rear", 68.0 * INCH, 79.0 * INCH)
    document.take_curve(document.rig, curve)
    drawn = {bound.bound.kind: bound.bound for bound in strip.plot._picture().bounds}
    assert {"contact", "trail limit", "stability", "rail pocket"} <= drawn.keys()
    low = curve.windows[0].low
    assert low.reason is not None
    assert low.reason.moving.kind == "tire"
    together = strip.plot._picture().scene.together
    assert together[0][0] == pytest.approx(low.width)
    assert together[0][1] < curve.windows[-1].high.width  # the rail pocket ends it, not clearance


def test_each_row_has_a_name_a_size_to_hit_and_the_value_at_the_handle(document: Document, strip: WidthStrip) -> None:
    for row in strip.rules.rows:
        assert row.accessibleName() == row.state.words
        assert row.height() >= 24
        assert row.focusPolicy() & Qt.FocusPolicy.TabFocus
    assert "rail pocket at rub rail, left, -1/4 in ≤ 1 1/2 in, satisfied" in strip.rules.rows[5].accessibleName()
    set_width(document, "rear", 76.0 * INCH)
    assert strip.rules.rows[5].state.satisfied is False
    assert "1 3/4 in > 1 1/2 in, broken" in strip.rules.rows[5].accessibleName()


def test_an_unknown_rule_is_said_to_be_and_leaves_no_width_as_good(document: Document, strip: WidthStrip) -> None:
    assert strip.plot._picture().scene.together
    change_rig(document, replace(document.rig, masses=None), "Forget masses")
    document.take_curve(document.rig, wide_curve(document.rig))
    row = strip.rules.rows[3]
    assert row.state.satisfied is None
    assert "unknown, missing: list of what" in row.accessibleName()
    assert "stability" not in kinds(strip)
    assert strip.plot._picture().scene.together == ()
    assert "Whether all rules hold is unknown: stability factor, empty" in strip._window_words.toolTip()


def test_a_rig_without_rules_has_no_list_of_them(document: Document, strip: WidthStrip) -> None:
    assert strip.rules.isVisible()
    axles = tuple(replace(axle, build=None) for axle in document.rig.axles)
    change_rig(document, replace(document.rig, rules=None, axles=axles), "Forget rules")
    assert not strip.rules.isVisible()


def test_words_of_bounds_meet_neither_each_other_nor_the_plot(qtbot: QtBot, document: Document) -> None:
    del qtbot
    rig, curve = document.rig, curve_of(document.rig)
    bounds = rule_bounds(KnownRules().of(rig, "rear"))
    for unit in LengthUnit:
        for width, height in ((320, 168), (430, 200), (560, 260), (1400, 400)):
            for low, high in ((56.0, 76.0), (66.0, 78.0), (62.0, 120.0)):
                scene = WidthScene(rig, "rear", curve, low * INCH, high * INCH, unit, "", focused=False, rules=bounds)
                picture = WidthPicture(scene, QRectF(0.0, 0.0, width, height), QFont(), QPalette())
                boxes = [(each.row, each.left, each.right) for each in picture.bounds if each.text]
                for one, other in combinations(boxes, 2):
                    assert one[0] != other[0] or one[2] <= other[1] or other[2] <= one[1]
                assert all(picture.plot.left() - 1.0 <= left < right <= width for _, left, right in boxes)
                top = picture.head + picture.line * (2 + max(row for row, _, _ in boxes))
                assert top <= picture.plot.top() + 1e-6
                assert picture.plot.bottom() < picture.handle.top()


def test_kinds_of_bound_differ_in_dashes_as_well_as_in_colour() -> None:
    assert len(set(DASHES.values())) == len(DASHES)
    for names in (LIGHT, DARK):
        assert len({bound_pen(kind, names).color().name() for kind in DASHES}) == len(DASHES)
