"""Hands for tests that draw: real mouse and key events at places of the rig."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from PySide6.QtCore import QPoint, QPointF, QSizeF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.canvas.rig_view import RigView
from app.canvas.viewport import Viewport

NONE = Qt.KeyboardModifier.NoModifier
LEFT = Qt.MouseButton.LeftButton

CLOSE = 1.5
"""Scale at which a builder draws [pixels per mm]: what is snapped to lies within 8 mm of the pointer."""

SLIP = QPoint(2, -1)
"""No hand hits a place to the pixel."""

Place = tuple[float, float, float]


def pixel(view: RigView, place: Place) -> QPoint:
    u, v = view.view.project(np.array(place))
    return view.viewport.to_pixel(QPointF(u, v)).toPoint()


def look_at(view: RigView, place: Place, scale: float = CLOSE) -> None:
    """Bring a place to the middle of a view."""
    u, v = view.view.project(np.array(place))
    view.set_viewport(Viewport(QSizeF(view.size()), QPointF(u, v), scale))


def move_to(view: RigView, place: Place, slip: QPoint = SLIP) -> QPoint:
    """Bring the pointer near a place."""
    at = pixel(view, place) + slip
    QTest.mouseMove(view, at + QPoint(5, 5))  # where it is already, no event would say so
    QTest.mouseMove(view, at)
    QApplication.processEvents()
    return at


def click(view: RigView, place: Place, modifiers: Qt.KeyboardModifier = NONE, slip: QPoint = SLIP) -> None:
    look_at(view, place)
    at = move_to(view, place, slip)
    QTest.mouseClick(view, LEFT, modifiers, at)


def press(widget: QWidget, *keys: Qt.Key) -> None:
    for key in keys:
        QTest.keyClick(widget, key)


def draw(view: RigView, places: Iterable[Place]) -> None:
    """Click from place to place, and Enter."""
    for place in places:
        click(view, place)
    press(view, Qt.Key.Key_Return)


def type_into(field: QWidget, text: str) -> None:
    """Click into a field and type over what is there."""
    QTest.mouseClick(field, LEFT)
    QTest.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
