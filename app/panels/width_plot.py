"""Closest approach against width, drawn directly above the slider that sets the width, on one axis."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.document import Document
from app.edits import Gesture, width_text, with_axle
from app.panels.axis import Axis
from app.panels.width_bounds import Bound, rule_bounds
from app.panels.width_picture import WidthPicture, WidthScene
from app.rule_book import RuleBook
from app.searcher import curve_range, reaches
from app.units import LengthUnit, format_length
from app.width_rules import CLEARANCE, Span
from geometry.contact.findings import WidthCurve
from geometry.errors import GeometryError
from geometry.rig.wheel import INCH

GRAB_REACH: Final = 16.0
"""The handle is taken hold of this far from its middle [px]."""

COARSE: Final = 10
"""Shift makes a key's step this many times larger."""

RUN_MS: Final = 5000
"""Keys pressed within this time of each other are one run: one undo step, which Esc takes back [ms]."""


REST_MS: Final = 150
"""A handle that has not moved for this rests, and words make way for it [ms]."""


class WidthPlot(QWidget):
    """Curve and slider of the active axle; a drag is one undo step, a run of keys as well.

    Each key takes effect at once, so that saving or undoing in the midst of a run finds the width that is shown. A run
    ends with Enter, with the mouse, when the slider is left, or after a pause.
    """

    def __init__(self, document: Document, book: RuleBook) -> None:
        super().__init__()
        self._document = document
        self._book = book
        self._gesture: Gesture | None = None
        self._by_key = False
        self._run = 0
        self._run_axle = ""
        self._run_start = self._run_end = document.rig
        self._pause = QTimer(self, singleShot=True, interval=RUN_MS)
        self._grip = self._home = 0.0
        self._range = (0.0, 1.0)
        self._axle = ""
        self._problem = ""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMouseTracking(True)
        self.setAccessibleName("Width slider")
        self._marks_kept: tuple[tuple[object, ...], tuple[tuple[Bound, ...], tuple[Span, ...]]] | None = None
        self._ground_kept: tuple[tuple[object, ...], float, QPixmap] | None = None
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self.update)
        document.rig_changed.connect(self._rest.start)
        document.rig_replaced.connect(self._forget_range)
        document.rig_changed.connect(self.refresh)
        document.active_axle_changed.connect(self.refresh)
        document.unit_changed.connect(self.refresh)
        document.curve_finished.connect(self.refresh)
        book.switched.connect(self.refresh)
        document.study_finished.connect(self.update)
        self.refresh()

    @property
    def axis(self) -> Axis:
        """The common axis of curve and slider."""
        return self._picture().across

    @property
    def width_now(self) -> float:
        """Width that is shown [mm]."""
        return self._document.shown_rig.axle(self._document.active_axle).width

    def handle_place(self) -> QPointF:
        """Middle of the slider's handle."""
        return self._picture().handle.center()

    def show_problem(self, axle_id: str, problem: str) -> None:
        """Say in place of the curve why there is none."""
        if axle_id == self._document.active_axle:
            self._problem = problem
            self.update()

    def refresh(self) -> None:
        """Take everything from the document anew."""
        document = self._document
        if document.active_axle != self._axle:
            self._axle = document.active_axle
            self._forget_range()
        curve = document.width_curve(self._axle)
        low, high = self._range
        if curve is not None and reaches(curve, self.width_now) and not self._moving:
            self._range = (curve.samples[0].width, curve.samples[-1].width)
            self._problem = ""
        elif not low <= self.width_now <= high:
            self._range = curve_range(None, document.shown_rig.axle(self._axle))
        self.setAccessibleDescription(self._words())
        self.update()

    @property
    def _moving(self) -> bool:
        return self._gesture is not None and self._gesture.active

    def _forget_range(self) -> None:
        self._range = (0.0, 0.0)
        self._problem = ""

    def _words(self) -> str:
        return f"Wheel-mount width {format_length(self.width_now, self._document.unit)}"

    def _picture(self) -> WidthPicture:
        document = self._document
        curve = document.width_curve(document.active_axle)
        scene = WidthScene(
            rig=document.shown_rig,
            axle=document.active_axle,
            curve=curve,
            low=self._range[0],
            high=self._range[1],
            unit=document.unit,
            problem=self._problem or self._axle_problem(),
            focused=self.hasFocus(),
            rules=self._rule_marks(curve)[0],
            together=self._rule_marks(curve)[1],
            clearance=self._book.is_on(CLEARANCE),
            trials=document.shown_rig.axle(document.active_axle).trial_widths,
        )
        return WidthPicture(scene, QRectF(self.rect()), self.font(), self.palette())

    def _rule_marks(self, curve: WidthCurve | None) -> tuple[tuple[Bound, ...], tuple[Span, ...]]:
        """Bounds of the rules that are switched on, and the widths that satisfy all; no step of a drag changes them."""
        rules = tuple(rule for rule in self._book.rules(self._axle) if self._book.is_on(rule.key))
        basis = (rules, self._book.is_on(CLEARANCE), curve, self._range)
        if self._marks_kept is None or any(
            a is not b and a != b for a, b in zip(self._marks_kept[0], basis, strict=True)
        ):
            spans = self._book.common(self._axle, *self._range) if rules else None
            self._marks_kept = (basis, (rule_bounds(rules), spans or ()))
        return self._marks_kept[1]

    def _axle_problem(self) -> str:
        """Why the active axle has no curve: it cannot follow its travel."""
        study = self._document.study
        answers = () if study is None else study.axles
        return next((answer.problem for answer in answers if answer.axle == self._document.active_axle), "")

    # Gestures

    def _begin(self, *, by_key: bool) -> None:
        document = self._document
        self._by_key = by_key
        self._gesture = Gesture(document, width_text(document.rig, document.active_axle))

    def _move_to(self, width: float) -> None:
        if self._gesture is None or not self._gesture.active:
            return
        low, high = self._range
        within = min(max(width, low), high)
        try:
            self._gesture.preview(with_axle(self._gesture.base, self._document.active_axle, width=within))
        except GeometryError:
            return  # the handle stays at the last width that can be built

    def _gesture_base_width(self) -> float:
        base = self._gesture.base if self._gesture is not None and self._gesture.active else self._document.rig
        return base.axle(self._document.active_axle).width

    def _end(self, *, keep: bool) -> None:
        if self._gesture is None:
            return
        gesture, self._gesture = self._gesture, None
        if not keep:
            gesture.cancel()
        elif self._by_key:
            if not self._runs:
                self._run += 1
                self._run_start, self._run_axle = gesture.base, self._axle
            gesture.commit(self._run)
            self._run_end = self._document.rig
            self._pause.start()
        else:
            gesture.commit()
        self.refresh()

    @property
    def _runs(self) -> bool:
        """Whether a run of keys goes on: nobody else changed the rig or turned to another axle meanwhile."""
        return self._pause.isActive() and self._document.rig is self._run_end and self._axle == self._run_axle

    def _end_run(self, *, keep: bool) -> None:
        """End the run of keys, and go back to where it started if it is not kept."""
        self._end(keep=keep)
        back = not keep and self._runs
        self._pause.stop()
        stack = self._document.undo_stack
        while back and self._document.rig != self._run_start and stack.canUndo():
            stack.undo()  # more than one step when the rig was saved in the midst of the run

    def _snapped(self, width: float) -> float:
        """The nearest width that a tape shows, free of binary noise."""
        step = fine_step(self._document.unit)
        return round(round(width / step) * step, 6)

    # Qt

    def sizeHint(self) -> QSize:
        return QSize(640, 190)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 168)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        picture = self._picture()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._ground(picture))
        picture.draw_current(painter)
        painter.end()

    def _ground(self, picture: WidthPicture) -> QPixmap:
        """What stays where it is while the handle moves, as a picture; in a gesture words make way for it later."""
        ratio = self.devicePixelRatioF()
        anywhere = replace(picture.scene, rig=self._document.rig, focused=False)
        key = (anywhere, self.size(), ratio, self.font(), self.palette())
        width = picture.scene.width
        kept = self._ground_kept
        if kept is None or kept[0] != key or (kept[1] != width and not self._keeps_ground):
            layer = QPixmap(self.size() * ratio)
            layer.setDevicePixelRatio(ratio)
            layer.fill(self.palette().color(self.backgroundRole()))
            painter = QPainter(layer)
            picture.draw_ground(painter)
            painter.end()
            self._ground_kept = kept = (key, width, layer)
        return kept[2]

    @property
    def _keeps_ground(self) -> bool:
        """Whether a gesture is moving the handle: words that it covers make way for it when it rests."""
        return self._document.is_previewing and self._rest.isActive()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            event.ignore()
            return
        picture = self._picture()
        offset = event.position().x() - picture.handle.center().x()
        self._end_run(keep=True)
        self._begin(by_key=False)
        self._grip = offset if abs(offset) <= GRAB_REACH else 0.0
        self._home = picture.handle.center().x()
        if self._grip != offset:
            self._move_to(self._snapped(picture.across.length(event.position().x())))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._gesture is None or not event.buttons() & Qt.MouseButton.LeftButton:
            near = abs(event.position().x() - self.handle_place().x()) <= GRAB_REACH
            self.setCursor(Qt.CursorShape.SizeHorCursor if near else Qt.CursorShape.ArrowCursor)
            return
        place = event.position().x() - self._grip
        back_home = abs(place - self._home) < 1.0
        self._move_to(self._gesture_base_width() if back_home else self._snapped(self.axis.length(place)))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._end(keep=True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and (self._gesture is not None or self._runs):
            self._end_run(keep=False)
            return
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._end_run(keep=True)
            return
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Down: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: 1}.get(
            Qt.Key(event.key())
        )
        if steps is None:
            super().keyPressEvent(event)
            return
        if self._gesture is None:
            self._begin(by_key=True)
        self._step(steps * (COARSE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1))

    def _step(self, steps: int) -> None:
        step = fine_step(self._document.unit)
        self._move_to(self._snapped(self.width_now + steps * step))

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.isAutoRepeat() or event.key() == Qt.Key.Key_Shift or not self._by_key:
            super().keyReleaseEvent(event)
            return
        self._end(keep=True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._end_run(keep=True)
        super().focusOutEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if not self.hasFocus() or self._gesture is not None or event.angleDelta().y() == 0:
            event.ignore()
            return
        self._begin(by_key=True)
        self._step(1 if event.angleDelta().y() > 0 else -1)
        self._end(keep=True)


def fine_step(unit: LengthUnit) -> float:
    """Smallest step of the handle [mm]: a millimetre, or a sixteenth of an inch."""
    return 1.0 if unit is LengthUnit.MM else INCH / 16.0
