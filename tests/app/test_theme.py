"""All looks can be read: contrast by WCAG 2.2, relative luminance of its glossary."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QSlider
from pytestqt.qtbot import QtBot

from app.canvas.style import DrawStyle, screen_style
from app.panels.symbols import verdict_pixmap
from app.theme import CONTRAST, THEMES, Colours, ThemeChoice, apply_theme, colours
from geometry.contact.findings import Verdict

ALL = pytest.mark.parametrize("names", THEMES, ids=[theme.name for theme in THEMES])

TEXT, MARK = 4.5, 3.0
"""Least contrast of texts (WCAG 1.4.3), and of lines, handles and outlines of controls (1.4.11)."""


def luminance(colour: QColor) -> float:
    def linear(c: float) -> float:
        return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4

    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF())


def contrast(one: QColor, two: QColor) -> float:
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def over(colour: QColor, ground: QColor) -> QColor:
    """A translucent colour as it looks on a ground."""
    share = colour.alphaF()
    mixed = (share * getattr(colour, c)() + (1.0 - share) * getattr(ground, c)() for c in ("redF", "greenF", "blueF"))
    return QColor.fromRgbF(*mixed)


@ALL
def test_text_stands_out_4_5_to_1_and_the_verdict_7_to_1(names: Colours) -> None:
    for ground in (names.ground, names.sheet, names.raised):
        assert contrast(names.ink, ground) >= 7.0
        assert contrast(names.quiet, ground) >= TEXT
        assert contrast(names.problem, ground) >= TEXT
    for shade in (names.window_fill, names.together):
        assert contrast(names.ink, shade) >= TEXT
        assert contrast(names.quiet, shade) >= TEXT
    assert contrast(names.on_accent, names.accent) >= TEXT


@ALL
def test_marks_handles_and_bounds_stand_out_3_to_1(names: Colours) -> None:
    verdicts = [names.of_verdict(verdict) for verdict in Verdict]
    for mark, ground in product([*verdicts, names.accent, names.line], (names.sheet, names.ground, names.raised)):
        assert contrast(mark, ground) >= MARK
    bounds = (names.trail, names.stability, names.pocket, names.perch)
    for mark, shade in product(bounds, (names.sheet, names.window_fill, names.together)):
        assert contrast(mark, shade) >= MARK
    for verdict in verdicts:
        assert contrast(names.on_verdict, verdict) >= MARK


@ALL
def test_lines_of_the_drawing_stand_out_3_to_1(names: Colours) -> None:
    style: DrawStyle = screen_style(names)
    assert style.colours is names
    grounds = [names.sheet, *(over(fill, names.sheet) for fill in (style.tire, style.panel, style.earth))]
    for line, ground in product((style.tube_edge, style.tire_edge), (*grounds, style.tube, style.link, style.axle)):
        assert contrast(line, ground) >= MARK
    for ground in grounds:
        assert contrast(style.ghost, ground) >= MARK
    assert contrast(over(style.panel_edge, names.sheet), names.sheet) >= 1.5  # beside it the panel's words say it


def test_lines_are_heavier_where_there_is_glare() -> None:
    widths = {theme.name: screen_style(theme).wide for theme in THEMES}
    assert widths["bright"] > widths["contrast"] > widths["light"] == widths["dark"]


@ALL
def test_each_verdict_has_its_own_shape(qtbot: QtBot, names: Colours) -> None:  # noqa: ARG001  (makes the application)
    def shape(verdict: Verdict) -> tuple[bool, ...]:
        image = verdict_pixmap(verdict, names, 32).toImage()
        return tuple(image.pixelColor(x, y).alpha() > 127 for x in range(32) for y in range(32))

    assert len({shape(verdict) for verdict in Verdict}) == len(Verdict)


@pytest.fixture
def application(qapp: QApplication) -> Iterator[QApplication]:
    before = QApplication.palette()
    yield qapp
    QApplication.setPalette(before)


@pytest.mark.parametrize("choice", [choice for choice in ThemeChoice if choice is not ThemeChoice.SYSTEM])
def test_every_control_of_a_look_shows_where_it_is_and_knows_its_look(
    qtbot: QtBot, application: QApplication, choice: ThemeChoice
) -> None:
    apply_theme(application, choice)
    names = colours(application.palette())
    assert names.name == choice.value
    for control in (QPushButton("Press"), QLineEdit(), QSlider()):
        qtbot.addWidget(control)
        control.ensurePolished()
        assert colours(control.palette()) is names
        assert control.palette().color(QPalette.ColorRole.ButtonText) == names.ink
        outline = control.palette().color(QPalette.ColorRole.Window).darker(140)  # what Fusion makes of it
        assert contrast(outline, names.ground) >= MARK


def test_an_outline_is_really_drawn_around_a_field(qtbot: QtBot, application: QApplication) -> None:
    apply_theme(application, ThemeChoice.CONTRAST)
    field = QLineEdit()
    field.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    qtbot.addWidget(field)
    field.resize(80, 26)
    field.show()
    image = field.grab().toImage()
    brightest = max((image.pixelColor(40, y) for y in range(26)), key=luminance)
    assert contrast(brightest, CONTRAST.ground) >= MARK
