"""Parts of a drawing kept as pictures, for most of it stands still while one axle moves."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPixmap

from app.canvas.style import DrawStyle
from app.canvas.viewport import Viewport


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
