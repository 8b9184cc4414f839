"""Mouse tools: each gesture is an object that is moved, then committed or cancelled."""

from __future__ import annotations

from typing import Final, Protocol

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.canvas.pointing import Pointing
from app.canvas.style import DrawStyle
from app.canvas.viewport import Viewport
from app.document import Document
from app.edits import Gesture, axle_words, width_text, with_axle
from app.units import LengthUnit, format_length
from geometry.errors import RigError
from geometry.outline.view import TOP, View
from geometry.rig.layout import PartRef
from geometry.rig.wheel import INCH

SNAPS: Final = {LengthUnit.FRACTION: INCH / 16.0, LengthUnit.INCH: INCH / 20.0, LengthUnit.MM: 1.0}
"""Steps to which a dragged width keeps in each unit [mm]: what a tape shows."""

BOX_ALPHA: Final = 28
"""Opacity of a box to choose by [of 255]."""

_DIGITS: Final = 6
"""Digits kept of a snapped width [mm]: a sixteenth of an inch has four."""


class Tool(Protocol):
    """A gesture under way."""

    @property
    def cursor(self) -> Qt.CursorShape:
        """What the pointer looks like meanwhile."""

    @property
    def words(self) -> str:
        """What the gesture has reached, for the readout; empty = nothing to say."""

    def move(self, pixel: QPointF, *, free: bool) -> Viewport | None:
        """Follow the pointer, without snapping if `free`; returns the new viewport when the tool changes that."""

    def commit(self) -> None:
        """End it for good."""

    def cancel(self) -> Viewport | None:
        """End it and put everything back; returns the viewport to go back to when the tool changed that."""


class PanTool:
    """Moves the picture with the pointer."""

    cursor = Qt.CursorShape.ClosedHandCursor
    words = ""

    def __init__(self, viewport: Viewport, pixel: QPointF) -> None:
        self._before = viewport
        self._start = pixel

    def move(self, pixel: QPointF, *, free: bool) -> Viewport | None:  # noqa: ARG002  (nothing to snap to)
        """The picture follows the pointer."""
        return self._before.panned(pixel - self._start)

    def commit(self) -> None:
        """Leave the picture where it is."""

    def cancel(self) -> Viewport | None:
        """Back to where it was."""
        return self._before


class WidthTool:
    """Drags a tire sideways: both tires move alike, so the width changes by twice the way of the pointer."""

    def __init__(
        self, document: Document, view: View, viewport: Viewport, axle_id: str, side: str, pixel: QPointF
    ) -> None:
        rig = document.rig
        self._document = document
        self._axle_id = axle_id
        self._viewport = viewport
        self._start = pixel
        self._along = view is TOP
        self._outward = 1.0 if side == "left" else -1.0
        self._width = rig.axle(axle_id).width
        self._gesture = Gesture(document, width_text(rig, axle_id))

    @property
    def cursor(self) -> Qt.CursorShape:
        """Across in the front view, along the sheet in the top view."""
        return Qt.CursorShape.SizeVerCursor if self._along else Qt.CursorShape.SizeHorCursor

    @property
    def words(self) -> str:
        """The width reached."""
        axle = self._document.shown_rig.axle(self._axle_id)
        return f"{axle_words(axle)} width {format_length(axle.width, self._document.unit)}"

    def move(self, pixel: QPointF, *, free: bool) -> Viewport | None:
        """Preview the width under the pointer; one that the rig cannot have is not gone to."""
        way = (pixel - self._start) / self._viewport.scale
        width = self._width + 2.0 * self._outward * (way.y() if self._along else way.x())
        if not free:
            width = self._snapped(width)
        if self._gesture.active and width > 0.0:
            try:
                self._gesture.preview(with_axle(self._gesture.base, self._axle_id, width=width))
            except RigError:
                return None
        return None

    def _snapped(self, width: float) -> float:
        """The nearest width that a tape shows, or the one the drag started from when that is as near."""
        step = SNAPS[self._document.unit]
        if abs(width - self._width) < step / 2.0:
            return self._width
        return round(round(width / step) * step, _DIGITS)

    def commit(self) -> None:
        """Make one undo step of it."""
        self._gesture.commit()

    def cancel(self) -> Viewport | None:
        """Back to the width it started from."""
        self._gesture.cancel()
        return None


class BoxTool:
    """Draws a box and chooses what lies wholly in it; with Ctrl held at the end it is added.

    Attributes
    ----------
    box : QRectF
        The box [pixels].

    """

    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, document: Document, pointing: Pointing, viewport: Viewport, pixel: QPointF) -> None:
        self._document = document
        self._pointing = pointing
        self._viewport = viewport
        self._start = pixel
        self._add = False
        self._parts: tuple[PartRef, ...] = ()
        self.box = QRectF(pixel, pixel)

    @property
    def words(self) -> str:
        """How much is in it."""
        return f"{len(self._parts)} part{'' if len(self._parts) == 1 else 's'} in the box"

    def move(self, pixel: QPointF, *, free: bool) -> Viewport | None:
        """The box follows the pointer."""
        self._add = free
        self.box = QRectF(self._start, pixel).normalized()
        corners = (self._viewport.to_view(corner) for corner in (self.box.topLeft(), self.box.bottomRight()))
        self._parts = self._pointing.parts_in(QRectF(*corners))
        return None

    def commit(self) -> None:
        """Choose what is in it."""
        kept = self._document.chosen if self._add else ()
        self._document.choose((*kept, *self._parts))

    def cancel(self) -> Viewport | None:
        """Choose nothing new."""
        return None


def paint_box(painter: QPainter, box: QRectF, style: DrawStyle) -> None:
    """Paint a box that is being drawn [pixels]."""
    fill = QColor(style.colours.accent)
    fill.setAlpha(BOX_ALPHA)
    painter.setPen(QPen(style.colours.accent, 1.0, Qt.PenStyle.DashLine))
    painter.setBrush(fill)
    painter.drawRect(box)
