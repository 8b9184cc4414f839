"""Drawing panels from nodes."""

from __future__ import annotations

from app.canvas.drawing.snapping import Snapping
from geometry.errors import RigError
from geometry.sketch.finding import node_at
from geometry.sketch.lookup import coincide
from geometry.sketch.panels import with_panel
from geometry.sketch.snapping import Snap


class PanelMode(Snapping):
    """Takes nodes and makes a flat panel on them."""

    name = "Panel"
    gridded = False

    @property
    def prompt(self) -> str:
        """What comes next."""
        return "click a node" if len(self.points) < 3 else "click another node, or Enter"

    def take(self, meant: Snap) -> None:
        """Take the next corner; the first one again closes the panel."""
        if node_at(self._document.rig, meant.point) is None:
            self.say("A panel stands on nodes; click a node, or draw the bars first.")
        elif len(self.points) > 2 and coincide(self.points[0], meant.point):
            self.finish()
        elif any(coincide(point, meant.point) for point in self.points):
            self.say("That node is a corner already; click another one, or Enter to close the panel.")
        else:
            self.points.append(meant.point)

    def finish(self) -> bool:
        """Make the panel, one undo step; what cannot be made is said, and the corners stay."""
        if not self.points:
            return False
        rig = self._document.rig
        refs = [ref for ref in (node_at(rig, point) for point in self.points) if ref is not None]
        try:
            rig, part = with_panel(rig, refs, mirrored=self._settings.mirrored)
            self.change(rig, f"Draw {part.label}")
        except RigError as refused:
            self.refuse(refused)
            return True
        self._problem = ""
        self.points.clear()
        self._document.select(part)
        return True
