"""The rig in one view, most of it kept as pictures, for it stands still while one axle moves."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPixmap

from app.canvas.paint import (
    other_axles,
    other_extremes,
    paint_backdrop,
    paint_far,
    paint_middle,
    paint_near,
    seen_of_active,
)
from app.canvas.scene import Drawing
from app.canvas.style import DrawStyle
from app.canvas.underlays import Underlays, paint_problems, paint_underlays
from app.canvas.viewport import Viewport
from geometry.outline.view import View


class Layers:
    """The pictures of one view, each made anew only when something in it changed."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[object, ...], QPixmap]] = {}

    def picture(
        self,
        name: str,
        still: tuple[object, ...],
        viewport: Viewport,
        ratio: float,
        style: DrawStyle,
        ground: QColor | Qt.GlobalColor,
        paint: Callable[[QPainter, float], None],
    ) -> QPixmap:
        """The picture of that name.

        Parameters
        ----------
        still : tuple
            Everything that it shows; while this is equal, and viewport, pixel ratio and style are, it stays.
        paint : callable
            Paints it in view coordinates [mm], given the size of a point [mm of the rig].

        """
        key = (still, viewport, style, ratio)
        kept = self._kept.get(name)
        if kept is None or kept[0] != key:
            layer = QPixmap((QSizeF(viewport.size) * ratio).toSize())
            layer.setDevicePixelRatio(ratio)
            layer.fill(ground)
            painter = QPainter(layer)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setTransform(viewport.transform)
            paint(painter, 1.0 / viewport.scale)
            painter.end()
            self._kept[name] = kept = (key, layer)
        return kept[1]


class RigPicture:
    """Paints underlays, ground, chassis and axles of a view: all that is no sign, mark or selection."""

    def __init__(self, underlays: Underlays, view: View) -> None:
        self._underlays = underlays
        self._view = view
        self._layers = Layers()
        self._seen: tuple[object, ...] = ()

    def paint(self, painter: QPainter, drawing: Drawing, style: DrawStyle, viewport: Viewport, ratio: float) -> None:
        """Paint it all: as one picture when nothing moved since the last time.

        Parameters
        ----------
        painter : QPainter
            On the widget, in its pixels.
        ratio : float
            Device pixels of the widget's pixel [-].

        """
        pt = 1.0 / viewport.scale
        before, self._seen = self._seen, (drawing.chassis, seen_of_active(drawing, self._view, pt))
        backdrop = self._backdrop(drawing, style, viewport, ratio)
        middle = self._middle(drawing, style, viewport, ratio)

        def paint(onto: QPainter, pt: float) -> None:
            onto.resetTransform()
            onto.drawPixmap(0, 0, backdrop)
            onto.setTransform(viewport.transform)
            paint_far(onto, self._view, drawing, style, pt)
            onto.resetTransform()
            onto.drawPixmap(0, 0, middle)
            onto.setTransform(viewport.transform)
            paint_near(onto, self._view, drawing, style, pt)
            onto.resetTransform()

        if before == self._seen:
            still = (self._seen, backdrop.cacheKey(), middle.cacheKey())
            whole = self._layers.picture("whole", still, viewport, ratio, style, style.colours.sheet, paint)
            painter.drawPixmap(0, 0, whole)
        else:
            paint(painter, pt)
        paint_problems(painter, self._underlays.shown(self._view), style)

    def _backdrop(self, drawing: Drawing, style: DrawStyle, viewport: Viewport, ratio: float) -> QPixmap:
        grounds = tuple((axle.axle, axle.ground, axle.station) for axle in drawing.axles)
        pictures = self._underlays.shown(self._view)
        still = (other_axles(drawing), other_extremes(drawing), drawing.active_axle, grounds, pictures)

        def paint(painter: QPainter, pt: float) -> None:
            paint_underlays(painter, pictures)
            paint_backdrop(painter, self._view, drawing, style, pt, viewport.frame)

        return self._layers.picture("backdrop", still, viewport, ratio, style, style.colours.sheet, paint)

    def _middle(self, drawing: Drawing, style: DrawStyle, viewport: Viewport, ratio: float) -> QPixmap:
        still = (drawing.chassis, other_axles(drawing), drawing.active_axle)

        def paint(painter: QPainter, pt: float) -> None:
            paint_middle(painter, self._view, drawing, style, pt)

        return self._layers.picture("middle", still, viewport, ratio, style, Qt.GlobalColor.transparent, paint)
