"""Which piece of a view is on screen: pan, zoom about a point, fit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSizeF
from PySide6.QtGui import QTransform

NEAREST: Final = 40.0
"""Largest scale [pixels per mm]: a tube's wall fills the view."""
FARTHEST: Final = 0.005
"""Smallest scale [pixels per mm]: a rig is a dot."""
FIT_MARGIN: Final = 0.06
"""Share of the view left free at each side when everything is fitted into it."""


@dataclass(frozen=True, slots=True)
class Viewport:
    """Maps view coordinates [mm] to the pixels of a widget.

    Attributes
    ----------
    size : QSizeF
        Of the widget [pixels].
    centre : QPointF
        View coordinates at the widget's centre [mm].
    scale : float
        Pixels per mm.

    """

    size: QSizeF
    centre: QPointF
    scale: float

    @property
    def transform(self) -> QTransform:
        """View coordinates to pixels."""
        return (
            QTransform.fromTranslate(self.size.width() / 2.0, self.size.height() / 2.0)
            .scale(self.scale, self.scale)
            .translate(-self.centre.x(), -self.centre.y())
        )

    @property
    def frame(self) -> QRectF:
        """The piece that is seen, in view coordinates [mm]."""
        span = self.size / self.scale
        return QRectF(self.centre - QPointF(span.width() / 2.0, span.height() / 2.0), span)

    def to_view(self, pixel: QPointF) -> QPointF:
        """View coordinates [mm] of a pixel."""
        return self.centre + (pixel - QPointF(self.size.width() / 2.0, self.size.height() / 2.0)) / self.scale

    def to_pixel(self, point: QPointF) -> QPointF:
        """Pixel of a point in view coordinates [mm]."""
        return (point - self.centre) * self.scale + QPointF(self.size.width() / 2.0, self.size.height() / 2.0)

    def panned(self, pixels: QPointF) -> Viewport:
        """The picture moved by some pixels."""
        return replace(self, centre=self.centre - pixels / self.scale)

    def zoomed(self, factor: float, pixel: QPointF) -> Viewport:
        """The picture larger by a factor, with the point under `pixel` staying there."""
        scale = min(max(self.scale * factor, FARTHEST), NEAREST)
        fixed = self.to_view(pixel)
        return replace(self, scale=scale, centre=fixed + (self.centre - fixed) * (self.scale / scale))

    def resized(self, size: QSizeF) -> Viewport:
        """The same picture about the same centre in a widget of another size."""
        return replace(self, size=size)

    def fitted(self, box: QRectF, room: QRectF | None = None, sink: float = 0.5) -> Viewport:
        """All of `box` inside `room`, a piece of the widget [pixels]; without one, in the middle with a margin.

        `sink` is the share of the height to spare that goes above the box [-].
        """
        if room is None:
            across, along = FIT_MARGIN * self.size.width(), FIT_MARGIN * self.size.height()
            room = QRectF(QPointF(), self.size).adjusted(across, along, -across, -along)
        scale = min(room.width() / max(box.width(), 1.0), room.height() / max(box.height(), 1.0))
        scale = min(max(scale, FARTHEST), NEAREST)
        spare = room.height() - box.height() * scale
        middle = QPointF(room.center().x(), room.top() + sink * spare + box.height() * scale / 2.0)
        away = middle - QPointF(self.size.width() / 2.0, self.size.height() / 2.0)
        return replace(self, centre=box.center() - away / scale, scale=scale)
