"""Both looks can be read: contrast by WCAG 2.2, relative luminance of its glossary."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.panels.symbols import verdict_pixmap
from app.theme import DARK, LIGHT, Colours
from geometry.contact.findings import Verdict

BOTH = pytest.mark.parametrize("names", [LIGHT, DARK], ids=["light", "dark"])


def luminance(colour: QColor) -> float:
    def linear(c: float) -> float:
        return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4

    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF())


def contrast(one: QColor, two: QColor) -> float:
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@BOTH
def test_text_stands_out_4_5_to_1_and_the_verdict_7_to_1(names: Colours) -> None:
    for ground in (names.ground, names.sheet, names.raised):
        assert contrast(names.ink, ground) >= 7.0
        assert contrast(names.quiet, ground) >= 4.5
        assert contrast(names.problem, ground) >= 4.5
    assert contrast(names.on_accent, names.accent) >= 4.5


@BOTH
def test_marks_and_handles_stand_out_3_to_1(names: Colours) -> None:
    for mark in (names.clear, names.contact, names.unknown, names.accent, names.line):
        assert contrast(mark, names.sheet) >= 3.0


@BOTH
def test_each_verdict_has_its_own_shape(qtbot: QtBot, names: Colours) -> None:  # noqa: ARG001  (makes the application)
    def shape(verdict: Verdict) -> tuple[bool, ...]:
        image = verdict_pixmap(verdict, names, 32).toImage()
        return tuple(image.pixelColor(x, y).alpha() > 127 for x in range(32) for y in range(32))

    assert len({shape(verdict) for verdict in Verdict}) == len(Verdict)
