"""The plot: curves with the pose on them, which a click, a drag or the arrow keys change."""

from __future__ import annotations

from math import radians
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.curves.quantity import Curves, Found
from app.curves.way import place_on, pose_at
from app.document import Document
from app.panels.plots.picture import PlotPicture, PlotScene, reading_words
from app.theme import colours
from app.units import LengthUnit
from geometry.rig.wheel import INCH

COARSE: Final = 10
"""Shift makes a key's step this many times larger."""

STEER_STEP: Final = radians(0.5)
"""Step of a key on steer [rad]."""


class CurvePlot(QWidget):
    """Curves of the active axle; the pose is a state of the view, not an edit."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._curves: Curves | None = None
        self._lines: tuple[Found, ...] = ()
        self._values: tuple[float, ...] = ()
        self._words = ""
        self._faded = False
        self._hover: float | None = None
        self._ground_kept: tuple[tuple[object, ...], QPixmap] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMouseTracking(True)
        self.setCursor(Qt.CursorShape.CrossCursor)
        self.setAccessibleName("Plot")

    @property
    def lines(self) -> tuple[Found, ...]:
        """What is shown."""
        return self._lines

    def show_curves(self, curves: Curves, lines: tuple[Found, ...], *, faded: bool) -> None:
        """Show some lines of one unit, of curves of the active axle; faded = about the rig as it was."""
        self._curves, self._lines, self._faded, self._words = curves, lines, faded, ""
        self._values = (float("nan"),) * len(lines)
        self.update()

    def show_words(self, words: str) -> None:
        """Say in place of the curves why there are none."""
        self._curves, self._lines, self._words = None, (), words
        self.setAccessibleDescription(words)
        self.update()

    def show_values(self, values: tuple[float, ...]) -> None:
        """Say what the lines are in the pose on display."""
        self._values = values
        scene = self._scene()
        if scene is not None:
            self.setAccessibleDescription(reading_words(scene, scene.at, values))
        self.update()

    def picture(self) -> PlotPicture | None:
        """What is drawn; None = nothing."""
        scene = self._scene()
        return None if scene is None else PlotPicture(scene, self._area(), self.font(), self.palette())

    def _area(self) -> QRectF:
        return QRectF(self.rect()).adjusted(2.0, 2.0, -2.0, -2.0)

    def _scene(self) -> PlotScene | None:
        if self._curves is None or not self._lines:
            return None
        axle = self._document.shown_rig.axle(self._document.active_axle)
        at, on_way = place_on(axle, self._curves.against, self._document.pose(axle.id))
        return PlotScene(
            curves=self._curves,
            lines=self._lines,
            unit=self._document.unit,
            at=at,
            on_way=on_way,
            values=self._values,
            hover=self._hover,
            focused=self.hasFocus(),
            faded=self._faded,
        )

    def _move_to(self, at: float) -> None:
        if self._curves is None:
            return
        document = self._document
        axle = document.shown_rig.axle(document.active_axle)
        within = self._curves.nearest(at)
        document.set_pose(axle.id, pose_at(axle, self._curves.against, within, document.pose(axle.id)))

    def _ground(self, picture: PlotPicture) -> QPixmap:
        """What stays while the pose moves, as a picture."""
        ratio = self.devicePixelRatioF()
        key = (self._curves, self._lines, self._document.unit, self._faded, self.size(), ratio, self.font())
        palette = self.palette().cacheKey()
        if self._ground_kept is None or self._ground_kept[0] != (*key, palette):
            layer = QPixmap(self.size() * ratio)
            layer.setDevicePixelRatio(ratio)
            layer.fill(self.palette().color(self.backgroundRole()))
            painter = QPainter(layer)
            picture.draw_ground(painter)
            painter.end()
            self._ground_kept = ((*key, palette), layer)
        return self._ground_kept[1]

    # Qt

    def sizeHint(self) -> QSize:
        return QSize(420, 260)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, 190)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        picture = self.picture()
        if picture is None:
            painter.setPen(colours(self.palette()).quiet)
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self._area().adjusted(12.0, 0.0, -12.0, 0.0), flags, self._words)
        else:
            painter.drawPixmap(0, 0, self._ground(picture))
            picture.draw_current(painter)
        painter.end()

    def _place_at(self, point: QPointF) -> float | None:
        picture = self.picture()
        return None if picture is None else picture.across.value(point.x())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = self._place_at(event.position())
        if event.button() == Qt.MouseButton.LeftButton and at is not None:
            self._move_to(at)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        picture = self.picture()
        if picture is None:
            return
        at = picture.across.value(event.position().x())
        inside = picture.plot.adjusted(-1.0, -1.0, 1.0, 1.0).contains(event.position())
        self._hover = at if inside else None
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._move_to(at)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._hover = None
        self.update()
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        scene = self._scene()
        ends = {Qt.Key.Key_Home: 0, Qt.Key.Key_End: -1}
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Down: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: 1}
        key = Qt.Key(event.key())
        if scene is None or key not in {*ends, *steps}:
            super().keyPressEvent(event)
            return
        if key in ends:
            self._move_to(float(scene.curves.at[ends[key]]))
            return
        step = 2.0 if scene.unit is LengthUnit.MM else INCH / 8.0
        step = STEER_STEP if scene.curves.against == "steer" else step
        coarse = COARSE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        self._move_to(scene.at + steps[key] * step * coarse)
