"""Drawing bars point to point."""

from __future__ import annotations

from PySide6.QtGui import QPainter

from app.canvas.drawing.painting import paint_image
from app.canvas.drawing.snapping import Snapping
from app.canvas.style import DrawStyle
from geometry.errors import RigError
from geometry.outline.view import View
from geometry.sketch.bars import with_bar
from geometry.sketch.lookup import coincide
from geometry.sketch.snapping import Snap


class BarMode(Snapping):
    """Takes points and makes a tube along them, bent at the inner ones."""

    name = "Bar"

    @property
    def prompt(self) -> str:
        """What comes next."""
        if not self.points:
            return "click where it starts"
        return "click the next point" if len(self.points) < 2 else "click the next point, or Enter"

    def take(self, meant: Snap) -> None:
        """Take the next point."""
        if self.points and coincide(self.points[-1], meant.point):
            self.say("That is the last point again; click another one, or Enter to end the bar.")
            return
        self.points.append(meant.point)

    def finish(self) -> bool:
        """Make the bar, one undo step; what cannot be made is said, and the points stay."""
        if not self.points:
            return False
        settings = self._settings
        try:
            rig, part = with_bar(
                self._document.rig,
                self.points,
                od=settings.od,
                wall=settings.wall,
                bend_radius=settings.bend_radius,
                mirrored=settings.mirrored,
            )
            self.change(rig, f"Draw {part.label}")
        except RigError as refused:
            self.refuse(refused)
            return True
        self._problem = ""
        self.points.clear()
        self._document.select(part)
        return True

    def paint_taken(self, painter: QPainter, view: View, meant: Snap | None, style: DrawStyle, pt: float) -> None:
        """Paint the bar so far, and its image if it gets one."""
        if self._settings.mirrored and self.points:
            paint_image(painter, view, self.points, None if meant is None else meant.point, style, pt)
        super().paint_taken(painter, view, meant, style, pt)
