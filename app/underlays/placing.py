"""Placing a picture behind a view: moved, scaled and levelled by two places that are clicked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from app.canvas.modes import Pointer
from app.canvas.moving import refusal
from app.canvas.pens import pen
from app.canvas.style import DrawStyle
from app.document import Document
from app.edits import change_rig
from geometry.errors import RigError
from geometry.outline.view import VIEWS, View
from geometry.rig.underlay import Place, Underlay, levelled, shifted

CROSS: Final = 9.0
"""Half the size of the cross at a clicked place [points]."""

Change = Callable[[Underlay, Place, Place], Underlay]


class TwoPlaces:
    """Takes two places in the picture's own view and does something with them.

    Attributes
    ----------
    name : str

    """

    def __init__(self, document: Document, underlay: str, name: str, steps: tuple[str, str]) -> None:
        self._document = document
        self._underlay = underlay
        self._steps = steps
        self._places: list[QPointF] = []
        self._over: QPointF | None = None
        self._problem = ""
        self.name = name

    @property
    def words(self) -> str:
        """What to click next, or why the last click was not taken."""
        return self._problem or f"{self.name}: {self._steps[min(len(self._places), 1)]}"

    def hover(self, pointer: Pointer | None) -> None:
        """Follow the pointer in the picture's view."""
        self._over = pointer.at if pointer is not None and pointer.view is self._view() else None

    def click(self, pointer: Pointer) -> None:
        """Take a place."""
        view = self._view()
        if view is None or pointer.view is not view:
            where = "" if view is None else f" in the {view.title.lower()}, where the picture is"
            self._problem = f"Click{where}."
            return
        self._problem = ""
        self._places = [*self._places[:1], pointer.at]
        if len(self._places) == 2:
            self.take((self._places[0].x(), self._places[0].y()), (self._places[1].x(), self._places[1].y()))

    def take(self, one: Place, other: Place) -> None:
        """Do it."""
        raise NotImplementedError

    def finish(self) -> bool:
        """Nothing can be finished before both places are there."""
        return False

    def back(self) -> bool:
        """Take the last place back."""
        self._problem = ""
        return bool(self._places and self._places.pop())

    def paint(self, painter: QPainter, view: View, style: DrawStyle, pt: float) -> None:
        """Paint crosses at the places and a line between them."""
        if view is not self._view():
            return
        painter.setPen(pen(style.colours.accent, style.wide, pt))
        reach = CROSS * pt
        for place in self._places:
            painter.drawLine(place - QPointF(reach, 0.0), place + QPointF(reach, 0.0))
            painter.drawLine(place - QPointF(0.0, reach), place + QPointF(0.0, reach))
        ends = [*self._places, self._over] if len(self._places) == 1 and self._over is not None else self._places
        if len(ends) == 2:
            painter.drawLine(ends[0], ends[1])

    def _found(self) -> Underlay | None:
        return next((each for each in self._document.shown_rig.underlays if each.id == self._underlay), None)

    def _view(self) -> View | None:
        underlay = self._found()
        return None if underlay is None else next(view for view in VIEWS if view.key == underlay.view)

    def _do(self, change: Change, text: str, one: Place, other: Place) -> None:
        underlay = self._found()
        if underlay is None:
            return
        try:
            replace_underlay(self._document, change(underlay, one, other), text)
        except RigError as refused:
            self._problem = refusal(refused, self._document.unit)
        self._places.clear()


class MovePicture(TwoPlaces):
    """Moves the picture so that the first place comes to lie at the second."""

    def __init__(self, document: Document, underlay: str) -> None:
        steps = ("click a spot of the picture", "click where that spot belongs")
        super().__init__(document, underlay, "Move picture", steps)

    def take(self, one: Place, other: Place) -> None:
        """Move it."""
        self._do(shifted, "Move picture", one, other)


class LevelPicture(TwoPlaces):
    """Turns the picture so that the line between the places is level or upright."""

    def __init__(self, document: Document, underlay: str) -> None:
        steps = ("click one end of a line that is level or upright in truth", "click its other end")
        super().__init__(document, underlay, "Level picture", steps)

    def take(self, one: Place, other: Place) -> None:
        """Turn it."""
        self._do(levelled, "Level picture", one, other)


class MeasurePicture(TwoPlaces):
    """Takes two places whose distance is known; whoever asked for them enters it and scales the picture."""

    def __init__(self, document: Document, underlay: str, taken: Callable[[Place, Place], None]) -> None:
        steps = ("click one end of a length that you know", "click its other end, then enter the length")
        super().__init__(document, underlay, "Scale picture", steps)
        self._taken = taken

    def take(self, one: Place, other: Place) -> None:
        """Hand the places on; they stay in the view until others are clicked."""
        self._taken(one, other)


def replace_underlay(document: Document, underlay: Underlay, text: str) -> None:
    """Put another underlay in the place of that of its id, as one undo step; raises RigError as `change_rig`."""
    rig = document.rig
    changed = tuple(underlay if each.id == underlay.id else each for each in rig.underlays)
    change_rig(document, replace(rig, underlays=changed), text)
