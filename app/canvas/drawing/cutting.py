"""Splitting and extending bars by clicks."""

from __future__ import annotations

from app.canvas.drawing.settings import DrawingSettings
from app.canvas.drawing.snapping import Snapping
from app.document import Document
from geometry.errors import RigError
from geometry.sketch.bars import extended_to, split
from geometry.sketch.finding import BarSpot, bars_at
from geometry.sketch.lookup import item, part_of
from geometry.sketch.snapping import Snap


class SplitMode(Snapping):
    """Cuts a bar in two where it is clicked."""

    name = "Split"
    gridded = False

    @property
    def prompt(self) -> str:
        """What comes next."""
        return "click a bar where it is to be cut"

    def take(self, meant: Snap) -> None:
        """Cut the bar there."""
        rig = self._document.rig
        spots = bars_at(rig, meant.point)
        if not spots:
            self.say("There is no bar; click on one.")
            return
        best = next((each for each in spots if not each.at_end), spots[0])
        try:
            rig, part = split(rig, best.bar, meant.point)
            self.change(rig, f"Split bar {best.bar}")
        except RigError as refused:
            self.refuse(refused)
            return
        self._document.select(part)


class ExtendMode(Snapping):
    """Extends or cuts back the end of a bar to another bar."""

    name = "Extend"
    gridded = False

    def __init__(self, document: Document, settings: DrawingSettings) -> None:
        super().__init__(document, settings)
        self._end: BarSpot | None = None

    @property
    def prompt(self) -> str:
        """What comes next."""
        if self._end is None:
            return "click a bar near the end that is to move"
        return f"click the bar that {self._end.bar} is to meet"

    def back(self) -> bool:
        """Let the end go."""
        self._end = None
        return super().back()

    def take(self, meant: Snap) -> None:
        """Take the end, then the bar to meet."""
        spots = bars_at(self._document.rig, meant.point)
        if not spots:
            self.say("There is no bar; click on one.")
        elif self._end is None:
            self._take_end(spots, meant)
        else:
            self._meet(self._end, spots)

    def _take_end(self, spots: tuple[BarSpot, ...], meant: Snap) -> None:
        chosen = {part.id for part in self._document.chosen if part.kind == "bar"}
        ours = [each for each in spots if each.bar in chosen] or list(spots)
        if len(ours) > 1:
            self.say("Several bars meet there; click on the one that you mean, away from the others.")
            return
        self._end = ours[0]
        self.points = [meant.point]
        bar = item(self._document.rig.bars, self._end.bar, "bars")
        self._document.select(part_of(self._document.rig, bar))

    def _meet(self, end: BarSpot, spots: tuple[BarSpot, ...]) -> None:
        others = [each.bar for each in spots if each.bar != end.bar] or [end.bar]
        try:
            rig = extended_to(self._document.rig, end.bar, end.end, others[0])
            self.change(rig, f"Extend bar {end.bar}")
        except RigError as refused:
            self.refuse(refused)
            return
        self.points.clear()
        self._end = None
