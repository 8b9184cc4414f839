"""The pictures behind the views: read once, painted to scale, and what is wrong with them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QPointF, QRectF, Signal
from PySide6.QtGui import QPainter, QTransform

from app.canvas.furniture import EDGE
from app.canvas.pens import font, lines_within, plate, text_size
from app.canvas.style import DrawStyle
from app.document import Document
from app.files.pictures import PictureError, read_picture
from geometry.outline.view import View
from geometry.rig.underlay import Underlay

if TYPE_CHECKING:
    from app.canvas.pictures import Picture

PROBLEMS: Final = 56.0
"""Where what is wrong with pictures stands below the upper edge: under title and note [pixels]."""

CHANGED: Final = "has changed since it was placed; look whether its scale still holds, then take it as it is now"

Key = tuple[str, str, int, str]
"""File, digest and page of an underlay, and the rig file that it is found from."""


@dataclass(frozen=True, slots=True)
class Shown:
    """An underlay with its picture, or with the reason why there is none, or why it may not be the right one."""

    underlay: Underlay
    picture: Picture | None
    problem: str


class Underlays(QObject):
    """Reads the pictures of a document when they are first asked for, and keeps them.

    Signals
    -------
    changed
        The pictures of the rig that is shown are not the same any more.

    """

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._read: dict[Key, tuple[Picture | None, str]] = {}
        self._seen = document.shown_rig.underlays
        document.rig_changed.connect(self._look)
        document.path_changed.connect(self.read_again)

    def shown(self, view: View) -> tuple[Shown, ...]:
        """The pictures behind a view, the lowest first."""
        return tuple(
            self.state(each) for each in self._document.shown_rig.underlays if each.shown and each.view == view.key
        )

    def state(self, underlay: Underlay) -> Shown:
        """An underlay with its picture."""
        path = self._document.path
        if path is None:
            return Shown(underlay, None, "save the rig first: pictures are found from the folder of its file")
        key = (underlay.file, underlay.sha256, underlay.page, str(path))
        if key not in self._read:
            from app.canvas.pictures import picture_of

            try:
                data, same = read_picture(path, underlay)
                picture = picture_of(data, underlay.file, underlay.page)
                self._read[key] = (picture, "" if same else f"{underlay.file} {CHANGED}")
            except PictureError as refused:
                self._read[key] = (None, str(refused))
        return Shown(underlay, *self._read[key])

    def read_again(self) -> None:
        """Forget what was read: the files may have changed."""
        self._read.clear()
        self.changed.emit()

    def _look(self) -> None:
        now = self._document.shown_rig.underlays
        if now != self._seen:
            self._seen = now
            kept = {(each.file, each.sha256, each.page) for each in (*now, *self._document.rig.underlays)}
            self._read = {key: value for key, value in self._read.items() if key[:3] in kept}
            self.changed.emit()


def paint_underlays(painter: QPainter, shown: tuple[Shown, ...]) -> None:
    """Paint the pictures behind a view, in view coordinates [mm]."""
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    for each in shown:
        if each.picture is not None:
            painter.save()
            painter.setTransform(placing(each.underlay), combine=True)
            painter.setOpacity(1.0 - each.underlay.fade)
            painter.drawImage(QRectF(QPointF(), each.picture.size), each.picture.image)
            painter.restore()


def paint_problems(painter: QPainter, shown: tuple[Shown, ...], style: DrawStyle) -> None:
    """Say below the view's title which of its pictures is missing or not the one that was placed [pixels]."""
    face = font(style)
    painter.setFont(face)
    problems = (f"{each.problem[:1].upper()}{each.problem[1:].rstrip('.')}." for each in shown if each.problem)
    width = painter.viewport().width() - 2.0 * EDGE
    for number, words in enumerate(line for problem in problems for line in lines_within(problem, face, width)):
        room = text_size(words, face)
        room.moveTo(EDGE, PROBLEMS + number * 1.5 * style.text)
        plate(painter, room, style)
        painter.setPen(style.colours.problem)
        painter.drawText(QPointF(room.left(), round(room.top() + 0.8 * room.height())), words)


def placing(underlay: Underlay) -> QTransform:
    """From pixels of the picture to view coordinates [mm]."""
    scale = underlay.mm_per_pixel
    return QTransform.fromTranslate(underlay.right, underlay.down).rotate(underlay.turn_deg).scale(scale, scale)


def middle(underlay: Underlay, picture: Picture) -> QPointF:
    """The middle of a placed picture, in view coordinates [mm]."""
    return placing(underlay).map(QRectF(QPointF(), picture.size).center())
