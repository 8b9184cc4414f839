"""What shocks, stops and straps take of the travel, for the travel pad: where it is, and what takes it."""

from __future__ import annotations

from PySide6.QtCore import QRectF

from app.document import Document
from app.wording import limit_words
from geometry.rig.axle import Axle
from geometry.stroke.ends import reach_of
from geometry.stroke.travel_set import TravelSet

HAIR = 1e-3
"""A pose on the very edge of bump or droop is asked about this far inside [mm]."""


class Reach:
    """Keeps up with the active axle; while a gesture moves what limits its travel, nothing is known.

    Attributes
    ----------
    closed : list of QRectF
        What is taken, as rectangles of travel [mm], top = least right travel.

    """

    def __init__(self, document: Document) -> None:
        self._document = document
        self._axle: Axle | None = None
        self._left: TravelSet | None = None
        self.closed: list[QRectF] = []

    def refresh(self) -> None:
        """Take the axle from the document anew."""
        axle = self._document.shown_rig.axle(self._document.active_axle)
        if self._axle is not None and limits(axle) == limits(self._axle):
            return
        previewing = self._document.is_previewing
        self._axle = None if previewing else axle
        self._left = None if previewing else reach_of(axle)
        self.closed = [] if self._left is None else closed_rectangles(self._left)

    def words_at(self, left: float, right: float) -> str:
        """What ends the travel before a pose; empty where nothing does."""
        if self._left is None or self._axle is None:
            return ""
        low, high = HAIR - self._axle.droop, self._axle.bump - HAIR
        found = self._left.ended_by(min(max(left, low), high), min(max(right, low), high))
        told = dict.fromkeys(limit_words(limit) for limit in found)
        return "\n".join(f"{words[:1].upper()}{words[1:]}" for words in told)


def limits(axle: Axle) -> tuple[object, ...]:
    """All that the travel depends on."""
    own = ("id", "station", "height", "stop_station", "bump", "droop", "rods", "shocks", "bump_stops", "straps")
    return (*(getattr(axle, name) for name in own), getattr(axle, "leaf_springs", None))


def closed_rectangles(left: TravelSet) -> list[QRectF]:
    """What a travel set lacks of bump and droop, as few rectangles that do not overlap."""
    rest = TravelSet(left.low, left.step, ~left.kept, ())
    return [QRectF(a, c, b - a, d - c) for a, b, c, d in rest.rectangles.tolist()]
