"""The width strip's picture on paper: the curve, the window and the drawn width, without the slider."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter, QPen

from app.panels.width_picture import WidthPicture
from app.widths import sample_at


class PaperCurve(WidthPicture):
    """The picture of `WidthPicture` with nothing to take hold of."""

    def draw_current(self, painter: QPainter) -> None:
        x = self.handle.center().x()
        painter.setPen(QPen(self.names.ink, 1.6))
        painter.drawLine(QLineF(x, self.plot.top() - 2.0, x, self.track.bottom() - 6.0))
        sample = None if self.scene.curve is None else sample_at(self.scene.curve, self.scene.width)
        if sample is not None:
            y = min(max(self.up.place(sample.low), self.plot.top()), self.plot.bottom())
            painter.setBrush(self.names.sheet)
            painter.drawEllipse(QPointF(x, y), 4.0, 4.0)
        self._draw_current_text(painter, sample)
