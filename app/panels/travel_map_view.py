"""The square map of an axle's travel: left across, right up, coloured by clearance or free lock, a cross to drag."""

from __future__ import annotations

from math import isfinite
from typing import Final

from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.document import Document
from app.pace import Pace
from app.panels.axis import Axis
from app.panels.lock_map import cells_locked, lock_image, lock_words
from app.panels.ramp import ramp
from app.panels.travel_reach import Reach
from app.theme import colours
from app.units import LengthUnit
from app.wording import pose_words
from geometry.contact.findings import Approach, TravelMap
from geometry.motion.travel import TravelPose
from geometry.rig.wheel import INCH

MOST: Final = 50.8
"""Clearance over what is wanted at which the scale of colour ends [mm]: two inches is plenty."""

RING: Final = 12.0
"""Half the size of the ring at the worst pose with its edge; words stay as far from the square [px]."""

COARSE: Final = 10
"""Shift makes a key's step this many times larger."""


class TravelMapView(QWidget):
    """Poses the active axle; the pose is a state of the view, not an edit."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._image: QImage | None = None
        self._short: list[QRectF] = []
        self._worst: Approach | None = None
        self._reach = Reach(document)
        self._told = ""
        self._wants_lock = False
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setCursor(Qt.CursorShape.CrossCursor)
        self.setAccessibleName("Travel pad")
        self._pace = Pace(document, self._take_answers, self)
        document.rig_changed.connect(self._fall_behind)
        for signal in (document.rig_changed, document.study_finished):
            signal.connect(self._pace.ask)
        for signal in (document.pose_changed, document.unit_changed):
            signal.connect(self.refresh)
        document.active_axle_changed.connect(self._take_answers)
        for signal in (document.travel_map_finished, document.free_lock_finished):
            signal.connect(self._take_map)
        self._take_map()

    def place_of(self, pose: TravelPose) -> QPointF:
        """Where a pose lies on the map [px]."""
        across, up = self._axes()
        return QPointF(across.place(pose.left), up.place(pose.right))

    @property
    def shows_lock(self) -> bool:
        """Whether it shows the free lock in place of the clearance; only an axle that steers has one."""
        axle = self._document.shown_rig.axle(self._document.active_axle)
        return self._wants_lock and axle.steering is not None

    @property
    def lock_told(self) -> str:
        """The free lock round the pose on display, in words; empty = it is not shown, or not known."""
        axle = self._document.active_axle
        found = self._document.free_lock(axle) if self.shows_lock else None
        return "" if found is None else lock_words(found, self._document.pose(axle))

    def show_lock(self, shown: bool) -> None:
        """Show the free lock, or the clearance."""
        self._wants_lock = shown
        self._take_map()

    def refresh(self) -> None:
        """Follow pose and answers."""
        axle = self._document.shown_rig.axle(self._document.active_axle)
        words = pose_words(self._document.pose(axle.id), axle, self._document.unit)
        self.setAccessibleDescription(". ".join(part for part in (words, self.lock_told, self._told) if part))
        self._reach.refresh()
        self.update()

    @property
    def told(self) -> str:
        """What ends the travel where the pointer is, or where the keys would have gone; empty = nothing does."""
        return self._told

    @property
    def is_cut(self) -> bool:
        """Whether shocks, stops or straps take anything of the travel that is shown."""
        self._reach.refresh()
        return bool(self._reach.closed)

    def _tell(self, left: float, right: float) -> None:
        told = self._reach.words_at(left, right)
        if told != self._told:
            self._told = told
            self.refresh()

    def _fall_behind(self) -> None:
        """Take the answers away as soon as a gesture moves: they are about another rig until it rests."""
        if self._document.is_previewing and not (self._image is None and self._worst is None):
            self._image, self._short, self._worst = None, [], None
            self.update()

    def _take_answers(self) -> None:
        if not self._pace.lags:
            self._take_map()
            self._take_worst()

    def _take_map(self) -> None:
        if self.shows_lock:
            self._take_lock()
            return
        found = self._document.travel_map(self._document.active_axle)
        self._image = None if found is None else map_image(found)
        self._short = [] if found is None else cells_short(found)
        self.refresh()

    def _take_lock(self) -> None:
        document = self._document
        found = document.free_lock(document.active_axle)
        self._image = None if found is None else lock_image(found)
        self._short = [] if found is None else cells_locked(found)
        if found is None and not document.is_previewing:
            document.ask_free_lock(document.active_axle)
        self.refresh()

    def _square(self) -> QRectF:
        line = self.fontMetrics().height()
        room = QRectF(self.rect()).adjusted(line + RING + 1.0, RING, -RING, -line - RING - 1.0)
        side = max(min(room.width(), room.height()), 40.0)
        square = QRectF(0.0, 0.0, side, side)
        square.moveCenter(room.center())
        return square

    def _axes(self) -> tuple[Axis, Axis]:
        axle = self._document.shown_rig.axle(self._document.active_axle)
        low, high = -axle.droop, max(axle.bump, 1.0 - axle.droop)
        square = self._square()
        return (
            Axis(low, high, square.left(), square.right()),
            Axis(low, high, square.bottom(), square.top()),
        )

    def _move_to(self, place: QPointF) -> None:
        axle = self._document.active_axle
        steer = self._document.pose(axle).steer
        left, right = self._travels(place)
        self._tell(left, right)
        self._document.set_pose(axle, TravelPose(left, right, steer))

    def _travels(self, place: QPointF) -> tuple[float, float]:
        across, up = self._axes()
        return across.length(place.x()), up.length(place.y())

    def _take_worst(self) -> None:
        study, axle = self._document.study, self._document.active_axle
        answers = () if study is None else study.axles
        found = (a for answer in answers if answer.axle == axle for a in answer.approaches if not a.beyond)
        self._worst = min(found, key=lambda a: a.margin, default=None)
        self.update()

    # Painting

    def _draw_cells(self, painter: QPainter, square: QRectF) -> None:
        names = colours(self.palette())
        painter.fillRect(square, names.sheet)
        if self._image is None:
            painter.setPen(names.quiet)
            below = square.adjusted(0.0, square.height() / 2.0, 0.0, 0.0)
            painter.drawText(below, Qt.AlignmentFlag.AlignCenter, "Looking at\nthe travel…")
            self._draw_closed(painter, square)
            return
        painter.save()
        painter.setClipRect(square)
        half = 0.0 if self.shows_lock else square.width() / (2.0 * max(self._image.width() - 1, 1))
        painter.drawImage(square.adjusted(-half, -half, half, half), self._image)
        for cell in self._short:
            painter.fillRect(self._placed(cell), QBrush(QColor("#FFFFFF"), Qt.BrushStyle.BDiagPattern))
        painter.restore()
        self._draw_closed(painter, square)

    def _placed(self, cell: QRectF) -> QRectF:
        """A rectangle of travel where it is on the map [px]."""
        across, up = self._axes()
        corner = QPointF(across.place(cell.left()), up.place(cell.bottom()))
        return QRectF(corner, QPointF(across.place(cell.right()), up.place(cell.top())))

    def _draw_closed(self, painter: QPainter, square: QRectF) -> None:
        """Hatch crosswise what shocks, stops and straps do not let the axle go."""
        if not self.is_cut:
            return
        names = colours(self.palette())
        painter.save()
        painter.setClipRect(square)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        places = [self._placed(cell) for cell in self._reach.closed]
        for ground in (QBrush(names.raised), QBrush(names.quiet, Qt.BrushStyle.DiagCrossPattern)):
            for cell in places:
                painter.fillRect(cell, ground)
        painter.restore()

    def _draw_frame(self, painter: QPainter, square: QRectF) -> None:
        names = colours(self.palette())
        ride = self.place_of(TravelPose())
        painter.setPen(QPen(QColor("#FFFFFF"), 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(ride.x(), square.top(), ride.x(), square.bottom()))
        painter.drawLine(QLineF(square.left(), ride.y(), square.right(), ride.y()))
        painter.setPen(QPen(names.line, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(square)
        painter.setPen(names.ink)
        line = self.fontMetrics().height()
        below = QRectF(square.left(), square.bottom() + RING, square.width(), line)
        self._draw_side(painter, below, "left")
        painter.save()
        painter.translate(square.left() - line - RING, square.bottom())
        painter.rotate(-90.0)
        self._draw_side(painter, QRectF(0.0, 0.0, square.height(), line), "right")
        painter.restore()

    def _draw_side(self, painter: QPainter, box: QRectF, side: str) -> None:
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft, "droop")
        painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, f"{side} wheel")
        painter.drawText(box, Qt.AlignmentFlag.AlignRight, "bump")

    def _draw_marks(self, painter: QPainter) -> None:
        names = colours(self.palette())
        worst = self._worst
        if worst is not None and not self.shows_lock:
            at = self.place_of(worst.pose)
            for colour, width in ((QColor("#14181C"), 5.0), (names.of_verdict(worst.verdict), 2.5)):
                painter.setPen(QPen(colour, width))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(at, 9.0, 9.0)
            self._draw_word(painter, at, "worst")
        at = self.place_of(self._document.pose(self._document.active_axle))
        reach = 11.0
        for colour, width in ((QColor("#14181C"), 5.0), (QColor("#FFFFFF"), 2.0)):
            painter.setPen(QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            painter.drawLine(QLineF(at.x() - reach, at.y(), at.x() + reach, at.y()))
            painter.drawLine(QLineF(at.x(), at.y() - reach, at.x(), at.y() + reach))

    def _draw_told(self, painter: QPainter, square: QRectF) -> None:
        """What ends the travel under the pointer, at the end of the square that is farther from it."""
        if not self._told:
            return
        names = colours(self.palette())
        flags = Qt.AlignmentFlag.AlignHCenter | Qt.TextFlag.TextWordWrap
        inside = square.adjusted(8.0, 8.0, -8.0, -8.0)
        box = painter.boundingRect(inside, flags, self._told)
        below = self.place_of(self._document.pose(self._document.active_axle)).y() < square.center().y()
        box.moveTop(inside.bottom() - box.height() if below else inside.top())
        painter.setPen(QPen(names.line, 1.0))
        painter.setBrush(names.sheet)
        painter.drawRoundedRect(box.adjusted(-5.0, -3.0, 5.0, 3.0), 3.0, 3.0)
        painter.setPen(names.ink)
        painter.drawText(box, flags, self._told)

    def _draw_word(self, painter: QPainter, at: QPointF, word: str) -> None:
        """A word beside a mark."""
        box = self.word_box(at, word)
        names = colours(self.palette())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(names.sheet)
        painter.drawRoundedRect(box, 3.0, 3.0)
        painter.setPen(names.ink)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, word)

    def word_box(self, at: QPointF, word: str) -> QRectF:
        """Room for a word beside a mark, inside the square: the axes have their words outside."""
        room = self.fontMetrics().horizontalAdvance(word) + 8.0
        height = float(self.fontMetrics().height())
        square = self._square()
        left = at.x() - 13.0 - room if at.x() + 13.0 + room > square.right() else at.x() + 13.0
        top = min(max(at.y() - height / 2.0, square.top() + 2.0), square.bottom() - 2.0 - height)
        return QRectF(left, top, room, height)

    # Qt

    def sizeHint(self) -> QSize:
        return QSize(240, 240)

    def minimumSizeHint(self) -> QSize:
        return QSize(150, 150)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        square = self._square()
        self._draw_cells(painter, square)
        self._draw_frame(painter, square)
        self._draw_marks(painter)
        self._draw_told(painter, square)
        if self.hasFocus():
            painter.setPen(QPen(colours(self.palette()).accent, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(square.adjusted(-2.0, -2.0, 2.0, 2.0))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._move_to(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._move_to(event.position())
        else:
            inside = self._square().contains(event.position())
            self._tell(*(self._travels(event.position()) if inside else (0.0, 0.0)))

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self._tell(0.0, 0.0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Down: (0, -1),
            Qt.Key.Key_Up: (0, 1),
        }.get(Qt.Key(event.key()))
        if steps is None:
            super().keyPressEvent(event)
            return
        step = 2.0 if self._document.unit is LengthUnit.MM else INCH / 8.0
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            step *= COARSE
        axle = self._document.active_axle
        pose = self._document.pose(axle)
        left, right = pose.left + steps[0] * step, pose.right + steps[1] * step
        self._tell(left, right)
        self._document.set_pose(axle, TravelPose(left, right, pose.steer))


def map_image(found: TravelMap) -> QImage:
    """One pixel a cell, upper row = most travel on the right; transparent where nothing is known."""
    rows, columns = len(found.right), len(found.left)
    image = QImage(columns, rows, QImage.Format.Format_ARGB32)
    image.fill(Qt.GlobalColor.transparent)
    for row, margins in enumerate(found.margin):
        for column, margin in enumerate(margins):
            if isfinite(margin):
                image.setPixelColor(column, rows - 1 - row, ramp((margin + MOST) / (2.0 * MOST)))
    return image


def cells_short(found: TravelMap) -> list[QRectF]:
    """Runs of cells with less than the wanted clearance, as rectangles of travel [mm], top = least right travel."""
    if len(found.left) < 2 or len(found.right) < 2:
        return []
    wide = (found.left[-1] - found.left[0]) / (len(found.left) - 1)
    high = (found.right[-1] - found.right[0]) / (len(found.right) - 1)
    cells = []
    for row, margins in enumerate(found.margin):
        start: int | None = None
        for column, margin in enumerate((*margins, 0.0)):
            short = isfinite(margin) and margin < 0.0 and column < len(margins)
            if short and start is None:
                start = column
            elif not short and start is not None:
                left, low = found.left[0] + (start - 0.5) * wide, found.right[0] + (row - 0.5) * high
                cells.append(QRectF(left, low, (column - start) * wide, high))
                start = None
    return cells
