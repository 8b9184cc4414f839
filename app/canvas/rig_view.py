"""One interactive view of the rig."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QWidget

from app.canvas.extent import bounds
from app.canvas.furniture import paint_sheet_signs
from app.canvas.handles import paint_handles
from app.canvas.layers import RigPicture
from app.canvas.live import LiveDrawing
from app.canvas.marks import summary
from app.canvas.modes import Modes, Pointer
from app.canvas.moving import MoveTool, Nudges
from app.canvas.paint import paint_over
from app.canvas.pointing import GRIP, POINTS, Pointing, Turns
from app.canvas.readout import paint_readout
from app.canvas.style import screen_style
from app.canvas.tools import BoxTool, PanTool, Tool, WidthTool, paint_box
from app.canvas.viewport import Viewport
from app.document import Document
from app.pace import Pace
from app.theme import colours
from app.units import format_length
from geometry.contact.findings import Approach
from geometry.outline.view import FRONT, SIDE, TOP, VIEWS
from geometry.rig.layout import PartRef
from geometry.rig.parts import Point

HIT_REACH: Final = 12.0
"""A part is hit this far from where it is drawn [pixels]."""

ZOOM_STEP: Final = 1.2
"""Zoom of one notch of the wheel or one press of a key [-]."""

PAN_STEP: Final = 40.0
"""Way of one press of an arrow key [pixels]."""

ABOVE: Final = 52.0
BELOW: Final = 58.0
BESIDE: Final = 14.0
"""Left free around a rig that is fitted, for title, signs and the width's dimension [pixels]."""

SINK: Final = {SIDE.key: 0.8, FRONT.key: 0.8, TOP.key: 0.5}
"""Share of the height to spare that goes above a fitted rig [-]: labels need room there, the ground needs little."""

LEAST_SIZE: Final = QSize(160, 120)

_ARROWS: Final = {
    Qt.Key.Key_Left: QPointF(-1.0, 0.0),
    Qt.Key.Key_Right: QPointF(1.0, 0.0),
    Qt.Key.Key_Up: QPointF(0.0, -1.0),
    Qt.Key.Key_Down: QPointF(0.0, 1.0),
}
_AXES: Final = {SIDE.key: ("x", "z"), FRONT.key: ("y", "z"), TOP.key: ("x", "y")}


class RigView(QWidget):
    """Shows the rig from one side; pans, zooms, picks, and drags the width by a tire.

    Wheel or pinch zooms about the pointer; middle drag or Space and drag pans; F fits. A click selects, another one
    takes the next part underneath, Ctrl adds; a drag on an empty place chooses by a box. What is chosen moves by drag
    or arrow keys, a point that is shown by a drag at once. Esc ends a drag and puts everything back.

    Parameters
    ----------
    document : Document
    key : str
        Which view: ``side``, ``front`` or ``top``.
    live : LiveDrawing
    modes : Modes
        As `live`. Both are to be shared by the views of one document; each makes its own when they are left out.

    """

    def __init__(
        self,
        document: Document,
        key: str,
        live: LiveDrawing | None = None,
        modes: Modes | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.view = view = next(each for each in VIEWS if each.key == key)
        self._document = document
        self._live = live = live or LiveDrawing(document, self)
        self._modes = modes or Modes(document, self)
        self._modes.changed.connect(self._follow_mode)
        self._viewport = Viewport(QSizeF(self.size()), QPointF(), 0.1)
        self._fits = True
        self._tool: Tool | None = None
        self._press: QPointF | None = None
        self._two_clicks = False
        self._space = False
        self._pointer: QPointF | None = None
        self._hovered: PartRef | None = None
        self._picture = RigPicture(live.underlays, view)
        self._pointing = Pointing(live, view)
        self._turns = Turns()
        self._nudges = Nudges(document)
        self._keys: dict[Qt.Key, Callable[[], None]] = {
            Qt.Key.Key_F: self.fit,
            Qt.Key.Key_Plus: partial(self.zoom, ZOOM_STEP),
            Qt.Key.Key_Equal: partial(self.zoom, ZOOM_STEP),
            Qt.Key.Key_Minus: partial(self.zoom, 1.0 / ZOOM_STEP),
        }
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(LEAST_SIZE)
        self.setAccessibleName(view.title)
        live.changed.connect(self.update)
        self._document.rig_replaced.connect(self.fit)
        if view is FRONT:
            self._document.active_axle_changed.connect(self._fit_again)
        for signal in (self._document.study_finished, self._document.unit_changed, self._document.rig_replaced):
            signal.connect(Pace(document, self._describe, self).ask)
        self._describe()

    # The piece that is seen

    @property
    def viewport(self) -> Viewport:
        """Which piece of the view is on screen."""
        return self._viewport

    def set_viewport(self, viewport: Viewport) -> None:
        """Show another piece; from then on the view is not fitted by itself any more."""
        self._viewport = viewport
        self._fits = False
        self.update()

    def fit(self) -> None:
        """Show all of the rig, and keep doing so when the widget is resized."""
        box = bounds(self._live.drawing, self.view)
        self._viewport = self._viewport.resized(QSizeF(self.size())).fitted(box, self._room(), SINK[self.view.key])
        self._fits = True
        self.update()

    def _fit_again(self) -> None:
        """Follow the axle that the view is about, unless the builder has chosen a piece."""
        if self._fits:
            self.fit()

    def _room(self) -> QRectF:
        """Where the rig goes when it is fitted: clear of the title above and of the signs below [pixels]."""
        above, below = min(ABOVE, self.height() / 6.0), min(BELOW, self.height() / 5.0)
        beside = min(BESIDE, self.width() / 10.0)
        return QRectF(self.rect()).adjusted(beside, above, -beside, -below)

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Larger by a factor about a pixel, or about the middle."""
        self.set_viewport(self._viewport.zoomed(factor, self._middle() if about is None else about))

    def frame_spot(self, approach: Approach) -> None:
        """Bring the place of an approach into sight, as `frame_place`."""
        if approach.on_fixed is not None:
            self.frame_place(approach.on_fixed)

    def frame_place(self, place: Point) -> None:
        """Bring a place [mm] into sight; when it is in sight already the picture stays put."""
        u, v = self.view.project(np.array(place))
        margin = 2.0 * HIT_REACH / self._viewport.scale
        if not self._viewport.frame.adjusted(margin, margin, -margin, -margin).contains(QPointF(u, v)):
            self.set_viewport(self._viewport.panned(self._middle() - self._viewport.to_pixel(QPointF(u, v))))

    def _middle(self) -> QPointF:
        return QPointF(self.width() / 2.0, self.height() / 2.0)

    # Painting

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        style = screen_style(colours(self.palette()))
        drawing, frame = self._live.drawing, self._viewport.frame
        pt = 1.0 / self._viewport.scale
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._picture.paint(painter, drawing, style, self._viewport, self.devicePixelRatioF())
        painter.setTransform(self._viewport.transform)
        paint_over(painter, self.view, drawing, style, pt, frame, labelled=self._modes.mode is None)
        paint_handles(painter, self.view, self._pointing.handles(), drawing.chosen, style, pt)
        paint_sheet_signs(painter, self.view, drawing, style, pt, frame)
        painter.resetTransform()
        painter.setClipRect(self.rect())
        painter.setTransform(self._viewport.transform)
        for drawn in (self._modes.mode, self._tool if isinstance(self._tool, MoveTool) else None):
            if drawn is not None:
                drawn.paint(painter, self.view, style, pt)
        painter.resetTransform()
        if isinstance(self._tool, BoxTool):
            paint_box(painter, self._tool.box, style)
        paint_readout(painter, self.readout(), self.width(), style)
        if self.hasFocus():
            painter.setPen(QPen(style.colours.accent, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1.0, 1.0, -1.0, -1.0))
        painter.end()

    def readout(self) -> tuple[str, ...]:
        """The lines that stand at the upper right."""
        if self._tool is not None and self._tool.words:
            return (self._tool.words,)
        if self._modes.mode is not None:
            return (self._modes.mode.words,)
        if self._nudges.words:
            return (self._nudges.words,)
        if self._pointer is None:
            return ()
        at = self._viewport.to_view(self._pointer)
        across, down = self.view.axes.T @ np.ones(3)
        unit = self._document.unit
        first, second = _AXES[self.view.key]
        place = f"{first} {format_length(at.x() * across, unit)}   {second} {format_length(at.y() * down, unit)}"
        return (place,) if self._hovered is None else (place, self._hovered.label)

    def _describe(self) -> None:
        self.setAccessibleDescription(summary(self._live.drawing))

    # What lies under the pointer

    def parts_at(self, pixel: QPointF) -> tuple[PartRef, ...]:
        """Parts under a pixel, the best first: points, tubes and links, then tires, then panels."""
        return self._pointing.parts_at(self._viewport.to_view(pixel), HIT_REACH / self._viewport.scale)

    def _follow_mode(self) -> None:
        """Show all nodes while something is drawn: they are what it snaps to."""
        self._pointing.every_node = self._modes.mode is not None
        if self._modes.mode is None and self._tool is None:
            self.unsetCursor()
        self.update()

    def _in_view(self, pixel: QPointF, modifiers: Qt.KeyboardModifier) -> Pointer:
        free = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        return Pointer(self.view, self._viewport.to_view(pixel), HIT_REACH / self._viewport.scale, free)

    def _hover(self, pixel: QPointF) -> None:
        if self._modes.mode is not None:
            self._hovered = None
            self.setCursor(Qt.CursorShape.OpenHandCursor if self._space else Qt.CursorShape.CrossCursor)
            self._modes.hover(self._in_view(pixel, QApplication.keyboardModifiers()))
            return
        parts = self.parts_at(pixel)
        self._hovered = parts[0] if parts else None
        if self._space:
            self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif self._held(pixel) or self._moves(parts):
            self.setCursor(Qt.CursorShape.SizeAllCursor)
        elif self._pointing.tire_at(self._viewport.to_view(pixel)) is not None:
            sideways = Qt.CursorShape.SizeVerCursor if self.view is TOP else Qt.CursorShape.SizeHorCursor
            self.setCursor(sideways)
        else:
            self.unsetCursor()
        self.update()

    def _click(self, pixel: QPointF, *, add: bool) -> None:
        """Select what lies under the pixel, points that are shown first; the next one underneath with the next click.

        With `add` it joins what is chosen, or leaves it.
        """
        parts = self.parts_at(pixel)
        if add:
            if parts:
                self._document.toggle(parts[0])
            return
        if not parts:
            self._document.select(None)
            return
        held, slack = self._held(pixel), QApplication.startDragDistance()
        parts = (*held, *(part for part in parts if part.kind not in POINTS), *parts)
        self._document.select(self._turns.next(parts, self._document.selection, pixel, slack))

    # Gestures

    def _begin(self, tool: Tool) -> None:
        self._tool = tool
        self.setCursor(tool.cursor)

    def _start_drag(self, start: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        if self._modes.mode is not None and not self._space:
            if not self._two_clicks:
                self._two_clicks = True
                self._modes.click(self._in_view(start, modifiers))
            return
        self._begin(self._drag(start))

    def _drag(self, start: QPointF) -> Tool:
        """The tool for a drag: a shown point or what is chosen moves, a tire goes sideways, else it is a box."""
        if self._space:
            return PanTool(self._viewport, start)
        held = self._held(start)
        if held and not any(part in self._document.chosen for part in held):
            self._document.select(held[0])
        at, parts = self._viewport.to_view(start), self.parts_at(start)
        tire = self._pointing.tire_at(at)
        if tire is not None and not self._moves(parts):
            self._document.set_active_axle(tire.id)
            return WidthTool(self._document, self.view, self._viewport, tire.id, tire.side, start)
        if self._moves(parts):
            return MoveTool(self._document, self.view, self._viewport, start)
        return BoxTool(self._document, self._pointing, self._viewport, start)

    def _held(self, pixel: QPointF) -> tuple[PartRef, ...]:
        """Points that are shown where a drag would take hold of them, the nearest first."""
        return self._pointing.held_at(self._viewport.to_view(pixel), GRIP / self._viewport.scale)

    def _moves(self, parts: Sequence[PartRef]) -> bool:
        """Whether a drag that starts on these parts moves what is chosen."""
        chosen = self._document.chosen
        grabbed = next((part for part in parts if part in chosen), None)
        return grabbed is not None and (self.view is SIDE or grabbed.kind != "tire")

    def _end(self) -> None:
        self._tool = self._press = None
        self._two_clicks = False
        if self._pointer is not None:
            self._hover(self._pointer)
        self.update()

    def cancel_gesture(self) -> None:
        """End the drag under way and put everything back."""
        if self._tool is not None:
            back = self._tool.cancel()
            if back is not None:
                self._viewport = back
        self._end()

    def _nudge(self, way: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Move what is chosen by one step the way of an arrow key, Shift ten, Alt a tenth; a run is one undo step."""
        keys = Qt.KeyboardModifier
        times = 10.0 if modifiers & keys.ShiftModifier else 0.1 if modifiers & keys.AltModifier else 1.0
        self._nudges.step(self.view, way, times)
        self.update()

    # Qt

    def sizeHint(self) -> QSize:
        return QSize(640, 420)

    def resizeEvent(self, event: QResizeEvent) -> None:
        del event
        self._viewport = self._viewport.resized(QSizeF(self.size()))
        self._fit_again()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._tool is not None:
            return
        if event.button() is Qt.MouseButton.MiddleButton:
            self._begin(PanTool(self._viewport, event.position()))
        elif event.button() is Qt.MouseButton.LeftButton:
            self._press = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._pointer = event.position()
        if self._tool is None and self._press is not None:
            slip = (event.position() - self._press).manhattanLength()
            if slip >= QApplication.startDragDistance():
                self._start_drag(self._press, event.modifiers())
        if self._tool is None:
            self._hover(event.position())
            return
        free = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        moved = self._tool.move(event.position(), free=free)
        if moved is not None:
            self.set_viewport(moved)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._tool is not None:
            self._tool.commit()
        elif self._press is None or event.button() is not Qt.MouseButton.LeftButton or self._space:
            pass
        elif self._modes.mode is not None:
            self._modes.click(self._in_view(event.position(), event.modifiers()))
        else:
            self._click(event.position(), add=bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier))
        self._pointer = event.position()
        self._end()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self._modes.mode is not None and event.button() is Qt.MouseButton.LeftButton:
            self._modes.finish()
        else:
            self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self._tool is not None:
            return
        touchpad = event.phase() is not Qt.ScrollPhase.NoScrollPhase and not event.pixelDelta().isNull()
        zooms = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if touchpad and not zooms:
            self.set_viewport(self._viewport.panned(QPointF(event.pixelDelta())))
        else:
            self.zoom(ZOOM_STEP ** (event.angleDelta().y() / 120.0), event.position())
        event.accept()

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QNativeGestureEvent):
            if event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture and self._tool is None:
                self.zoom(1.0 + event.value(), event.position())
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, gesture = event.key(), self._tool is not None or self._press is not None
        if key == Qt.Key.Key_Space:
            self._space = True
            self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif gesture and key == Qt.Key.Key_Escape:
            self.cancel_gesture()
        elif gesture:
            event.ignore()
        elif self._modes.key(key):
            return
        elif key in _ARROWS:
            self._arrow(_ARROWS[Qt.Key(key)], event.modifiers())
        elif key == Qt.Key.Key_Escape and self._document.selection is not None:
            self._document.select(None)
        elif key in self._keys:
            self._keys[Qt.Key(key)]()
        else:
            event.ignore()

    def _arrow(self, way: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        if self._document.chosen and self._modes.mode is None:
            self._nudge(way, modifiers)
        else:
            self.set_viewport(self._viewport.panned(way * -PAN_STEP))

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            if self._tool is None:
                self.unsetCursor()
        else:
            event.ignore()

    def leaveEvent(self, event: QEvent) -> None:
        del event
        self._pointer = self._hovered = None
        self._modes.hover(None)
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._space = False
        self.update()
