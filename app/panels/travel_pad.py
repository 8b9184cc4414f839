"""Everything that poses the rig: map, steering, the poses with names, and play."""

from __future__ import annotations

from functools import partial
from math import degrees, radians
from typing import Final

from PySide6.QtCore import QElapsedTimer, QLineF, QRectF, QSignalBlocker, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSlider,
    QStyle,
    QStyleOptionSlider,
    QVBoxLayout,
    QWidget,
)

from app.document import Document, locks
from app.pace import Pace
from app.panels.pose_cycle import CYCLE_SECONDS, NamedPose, cycle_pose, named_pose
from app.panels.ramp import ramp
from app.panels.travel_map_view import MOST, TravelMapView
from app.theme import colours
from app.typeset import typeset
from app.units import format_angle, format_length
from app.wording import pose_words
from geometry.motion.steer_lock import steer_range
from geometry.motion.travel import TravelPose

FRAME_MS: Final = 16
"""Time between two pictures of play [ms]."""

BUTTON_HEIGHT: Final = 28

HATCHED: Final = 0.02
"""Part of the scale of the free lock that is hatched: not even straight ahead is free [-]."""


class TravelPad(QWidget):
    """Poses the active axle.

    Signals
    -------
    playing_changed(bool)
        Play has begun or stopped.

    """

    playing_changed = Signal(bool)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._before_play: tuple[str, TravelPose] | None = None
        self._played: TravelPose | None = None
        self._clock = QElapsedTimer()
        self._frames = QTimer(self)
        self._frames.setInterval(FRAME_MS)
        self._frames.setTimerType(Qt.TimerType.PreciseTimer)
        self._frames.timeout.connect(self._show_frame)
        self.map = TravelMapView(document)
        self.scale = MapScale(document, self.map)
        self.shown = QComboBox()
        self.shown.addItems(["Clearance", "Free lock"])
        self.shown.setAccessibleName("What the map shows")
        self.shown.setToolTip("What the map shows: clearance over what is wanted, or how far the wheels steer freely")
        self.shown.setMinimumHeight(BUTTON_HEIGHT)
        self.shown.currentIndexChanged.connect(self._show_map)
        self.steer = SteerSlider()
        self.steer.valueChanged.connect(self._steer_to)
        self._steer_words = QLabel()
        self._pose_words = QLabel()
        self._pose_words.setWordWrap(True)
        self.cut = QLabel("Hatched crosswise: shocks, stops or straps end the travel.")
        self.cut.setWordWrap(True)
        self.cut.setToolTip("Rest the pointer on the hatched part to see which of them it is.")
        self.play = QPushButton("&Play")
        self.play.setCheckable(True)
        self.play.setMinimumHeight(BUTTON_HEIGHT)
        self.play.toggled.connect(self._set_playing)
        self.buttons = {name: self._button(name) for name in NamedPose}
        self._lay_out()
        for signal in (
            document.pose_changed,
            document.active_axle_changed,
            document.unit_changed,
        ):
            signal.connect(self.refresh)
        document.rig_changed.connect(Pace(document, self.refresh, self).ask)
        document.free_lock_finished.connect(self.refresh)
        document.rig_replaced.connect(self._forget_pose)
        document.active_axle_changed.connect(self.stop)
        self.refresh()

    def show_named(self, name: NamedPose) -> None:
        """Go to a named pose with the steering as it is; play stops."""
        self.stop()
        axle = self._document.shown_rig.axle(self._document.active_axle)
        steer = 0.0 if name is NamedPose.RIDE_HEIGHT else self._document.pose(axle.id).steer
        self._document.set_pose(axle.id, named_pose(name, axle, steer))

    def stop(self) -> None:
        """Stop play and go back to the pose before it."""
        self.play.setChecked(False)

    def refresh(self) -> None:
        """Take pose, axle and unit from the document anew."""
        document = self._document
        axle = document.shown_rig.axle(document.active_axle)
        pose = document.pose(axle.id)
        lock_left, lock_right = locks(axle)
        with QSignalBlocker(self.steer):
            self.steer.setRange(round(-10.0 * degrees(lock_right)), round(10.0 * degrees(lock_left)))
            self.steer.setValue(round(10.0 * degrees(pose.steer)))
        steered = bool(lock_left or lock_right)
        self.steer.setVisible(steered)
        self._steer_words.setVisible(steered)
        self._steer_words.setText(f"Steer {steer_words(pose.steer)}")
        self.cut.setVisible(self.map.is_cut)
        self.shown.setVisible(steered)
        words = (pose_words(pose, axle, document.unit).capitalize(), self.map.lock_told)
        self._pose_words.setText(typeset(", ".join(part for part in words if part)))
        self.scale.update()

    def _button(self, name: NamedPose) -> QPushButton:
        button = QPushButton(name.value)
        button.setMinimumHeight(BUTTON_HEIGHT)
        button.clicked.connect(partial(self.show_named, name))
        return button

    def _lay_out(self) -> None:
        grid = QGridLayout()
        grid.setSpacing(4)
        places = {
            NamedPose.RIDE_HEIGHT: (0, 0),
            NamedPose.FULL_STUFF: (1, 0),
            NamedPose.FULL_DROOP: (2, 0),
            NamedPose.CROSSED_LEFT: (3, 0),
            NamedPose.CROSSED_RIGHT: (4, 0),
        }
        for name, place in places.items():
            grid.addWidget(self.buttons[name], *place)
        grid.addWidget(self.play, 5, 0)
        grid.setRowStretch(6, 1)
        beside = QHBoxLayout()
        beside.addWidget(self.map, 1)
        beside.addLayout(grid)
        steering = QHBoxLayout()
        self._steer_words.setMinimumWidth(self.fontMetrics().horizontalAdvance("Steer 00.0° right "))
        steering.addWidget(self._steer_words)
        steering.addWidget(self.steer, 1)
        steering.addWidget(self.shown)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 4, 6, 4)
        column.setSpacing(4)
        column.addLayout(beside, 1)
        column.addLayout(steering)
        column.addWidget(self._pose_words)
        column.addWidget(self.cut)
        column.addWidget(self.scale)

    def _show_map(self, index: int) -> None:
        self.map.show_lock(index == 1)
        self.refresh()

    def _steer_to(self, tenths: int) -> None:
        axle = self._document.active_axle
        pose = self._document.pose(axle)
        self._document.set_pose(axle, TravelPose(pose.left, pose.right, radians(tenths / 10.0)))

    def _set_playing(self, playing: bool) -> None:
        self.play.setText("&Stop" if playing else "&Play")
        if playing:
            axle = self._document.active_axle
            self._before_play, self._played = (axle, self._document.pose(axle)), None
            self._clock.restart()
            self._frames.start()
        else:
            self._frames.stop()
            if self._before_play is not None:
                self._document.set_pose(*self._before_play)
        self.playing_changed.emit(playing)

    def _show_frame(self) -> None:
        axle = self._document.shown_rig.axle(self._document.active_axle)
        if self._played is not None and self._document.pose(axle.id) != self._played:
            self._before_play = None  # posed from elsewhere: that is where to stay
            self.stop()
            return
        share = self._clock.elapsed() / (1000.0 * CYCLE_SECONDS)
        self._document.set_pose(axle.id, cycle_pose(axle, share))
        self._played = self._document.pose(axle.id)

    def _forget_pose(self) -> None:
        self._before_play = None
        self.stop()


class SteerSlider(QSlider):
    """Steering in tenths of a degree, left turn to the left; large enough to hit, deaf to a passing wheel."""

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.setInvertedAppearance(True)
        self.setMinimumHeight(BUTTON_HEIGHT)
        self.setSingleStep(5)
        self.setPageStep(50)
        self.setAccessibleName("Steering")

    def place_of(self, value: int) -> float:
        """Where the middle of the handle is at a value [px]."""
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        option.sliderPosition = value
        handle = QStyle.SubControl.SC_SliderHandle
        return self.style().subControlRect(QStyle.ComplexControl.CC_Slider, option, handle, self).center().x() + 0.5

    def paintEvent(self, event: QPaintEvent) -> None:
        """A groove filled from straight ahead to the handle, with a tick there: neither end stands for nothing."""
        del event
        names, painter = colours(self.palette()), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle, here, zero = self.height() / 2.0, self.place_of(self.value()), self.place_of(0)
        ends = self.place_of(self.minimum()), self.place_of(self.maximum())
        painter.setPen(QPen(names.line, 4.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawLine(QLineF(min(ends), middle, max(ends), middle))
        painter.setPen(QPen(names.accent, 4.0))
        painter.drawLine(QLineF(zero, middle, here, middle))
        painter.setPen(QPen(names.ink, 2.0))
        painter.drawLine(QLineF(zero, middle - 11.0, zero, middle + 11.0))
        if self.hasFocus():
            painter.setPen(QPen(names.ink, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(here - 8.0, middle - 12.0, 16.0, 24.0), 5.0, 5.0)
        painter.setPen(QPen(names.sheet, 1.0))
        painter.setBrush(names.accent)
        painter.drawRoundedRect(QRectF(here - 6.0, middle - 10.0, 12.0, 20.0), 4.0, 4.0)
        painter.end()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class MapScale(QWidget):
    """What the colours of the map mean."""

    def __init__(self, document: Document, shown: TravelMapView) -> None:
        super().__init__()
        self._document = document
        self._map = shown
        self.setAccessibleName("Scale of the map")
        document.unit_changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(200, 2 * self.fontMetrics().height() + 14)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        names = colours(self.palette())
        painter = QPainter(self)
        line = self.fontMetrics().height()
        bar = QRectF(1.0, line + 1.0, self.width() - 2.0, 10.0)
        shades = QLinearGradient(bar.topLeft(), bar.topRight())
        for k in range(11):
            shades.setColorAt(k / 10.0, ramp(k / 10.0))
        painter.fillRect(bar, shades)
        title, ends = self._words()
        short = QRectF(bar.left(), bar.top(), bar.width() * (HATCHED if self._map.shows_lock else 0.5), bar.height())
        painter.fillRect(short, QBrush(QColor("#FFFFFF"), Qt.BrushStyle.BDiagPattern))
        painter.setPen(QPen(names.line, 1.0))
        painter.drawRect(bar)
        painter.setPen(names.ink)
        above = QRectF(0.0, 0.0, self.width(), line)
        painter.drawText(above, Qt.AlignmentFlag.AlignHCenter, title)
        below = QRectF(0.0, bar.bottom() + 1.0, self.width(), line)
        sides = (Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignHCenter, Qt.AlignmentFlag.AlignRight)
        for side, words in zip(sides, ends, strict=True):
            painter.drawText(below, side, words)
        painter.end()

    def _words(self) -> tuple[str, tuple[str, str, str]]:
        """Title, and what stands under both ends and the middle."""
        if not self._map.shows_lock:
            most = format_length(MOST, self._document.unit)
            return "clearance over what is wanted", (f"−{most}: hatched", "0", f"+{most}")
        left, right = steer_range(self._document.shown_rig.axle(self._document.active_axle))[::-1]
        alike = format_angle(degrees(left)) == format_angle(degrees(-right))
        middle, end = (format_angle(degrees(left) * share) for share in (0.5, 1.0)) if alike else ("half", "full lock")
        return "free lock, the lesser of left and right", ("0°: hatched", middle, end)


def steer_words(steer: float) -> str:
    """How far the wheels are turned, in words."""
    angle = format_angle(abs(degrees(steer)))
    if abs(degrees(steer)) < 0.05:
        return "straight"
    return f"{angle} {'left' if steer > 0.0 else 'right'}"
