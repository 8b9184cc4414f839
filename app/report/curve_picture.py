"""The width strip's picture on paper: the curve, the window and the drawn width, without the slider."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter, QPen

from app.panels.width_picture import WidthPicture, reason_words, sample_at
from app.units import format_clearance
from geometry.contact.findings import WidthBound


class PaperCurve(WidthPicture):
    """The picture of `WidthPicture` with nothing to take hold of."""

    def edge_words(self, bound: WidthBound) -> str:
        """A bound rounded into its window, as the report's sentences have it, and what sets it."""
        windows = () if self.scene.curve is None else self.scene.curve.windows
        is_low = any(bound is window.low for window in windows)
        return f"{format_clearance(bound.width, self.scene.unit, up=is_low)}: {reason_words(bound.reason)}"

    def _draw_current(self, painter: QPainter) -> None:
        x = self.handle.center().x()
        painter.setPen(QPen(self.names.ink, 1.6))
        painter.drawLine(QLineF(x, self.plot.top() - 2.0, x, self.track.bottom() - 6.0))
        sample = None if self.scene.curve is None else sample_at(self.scene.curve, self.scene.width)
        if sample is not None:
            y = min(max(self.up.place(sample.low), self.plot.top()), self.plot.bottom())
            painter.setBrush(self.names.sheet)
            painter.drawEllipse(QPointF(x, y), 4.0, 4.0)
        self._draw_current_text(painter, sample)
