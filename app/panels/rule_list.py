"""The rules that bound the width as a list: what each one says at the handle, and a box that switches it on and off."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPoint, QRect, QRectF, QSignalBlocker, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QCheckBox, QScrollArea, QStyle, QStyleOptionButton, QVBoxLayout, QWidget

from app.document import Document
from app.pace import Pace
from app.panels.entry_field import FIELD_HEIGHT
from app.panels.symbols import draw_verdict
from app.panels.width_bounds import bound_pen
from app.rule_book import RuleBook
from app.theme import colours
from app.typeset import typeset
from app.width_rules import RuleState
from geometry.contact.findings import Verdict

SIGNS: Final = {True: Verdict.CLEAR, False: Verdict.CONTACT, None: Verdict.UNKNOWN}
"""Sign of a rule by whether it is satisfied: those of the verdicts, which are shapes as well as colours."""

GAP: Final = 5
SAMPLE: Final = 22
SIGN: Final = 16
"""Between the parts of a row, length of the piece of its line, and size of its sign [px]."""

ONE_LINE: Final = 300
"""Width from which a row holds name and numbers side by side [px]."""


class RuleList(QScrollArea):
    """All rules of the active axle."""

    def __init__(self, document: Document, book: RuleBook) -> None:
        super().__init__()
        self._document = document
        self._book = book
        self.rows: list[RuleRow] = []
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Rules for the width")
        inside = QWidget()
        self._column = QVBoxLayout(inside)
        self._column.setContentsMargins(0, 0, 2, 0)
        self._column.setSpacing(0)
        self._column.addStretch(1)
        self.setWidget(inside)
        self._pace = Pace(document, self.refresh, self)
        document.rig_changed.connect(self._pace.ask)
        for signal in (document.active_axle_changed, document.unit_changed, document.curve_finished, book.switched):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Take all rules from the document anew."""
        states = self._book.states(self._document.active_axle)
        if [row.state.key for row in self.rows] != [state.key for state in states]:
            for row in self.rows:
                row.setParent(None)
                row.deleteLater()
            self.rows = [RuleRow(state, self._book) for state in states]
            for place, row in enumerate(self.rows):
                self._column.insertWidget(place, row)
        for row, state in zip(self.rows, states, strict=True):
            row.show_state(state, on=self._book.is_on(state.key))

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Bring the row into sight that has the focus next."""
        moved = super().focusNextPrevChild(forward)
        focused = self.focusWidget()
        if moved and focused is not None and self.isAncestorOf(focused):
            self.ensureWidgetVisible(focused)
        return moved


class RuleRow(QCheckBox):
    """One rule: its switch, a piece of its line, its sign, name, value and limit."""

    def __init__(self, state: RuleState, book: RuleBook) -> None:
        super().__init__()
        self.state = state
        self.setMinimumHeight(FIELD_HEIGHT)
        self.toggled.connect(lambda on: book.switch(self.state.key, on=on))

    def show_state(self, state: RuleState, *, on: bool) -> None:
        """Show a rule at the width as it is now."""
        with QSignalBlocker(self):
            self.setChecked(on)
        if state == self.state and self.accessibleName():
            return
        self.state = state
        self.setAccessibleName(state.words)
        self.setToolTip(typeset(state.words))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(220, FIELD_HEIGHT)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, FIELD_HEIGHT)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        lines = 1 if self.width() >= ONE_LINE else 2
        self.setFixedHeight(max(FIELD_HEIGHT, lines * self.fontMetrics().height() + 4))

    def hitButton(self, pos: QPoint) -> bool:
        return self.rect().contains(pos)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        option, painter, names = QStyleOptionButton(), QPainter(self), colours(self.palette())
        self.initStyleOption(option)
        style = self.style()
        box = style.subElementRect(QStyle.SubElement.SE_CheckBoxIndicator, option, self)
        option.rect = box
        style.drawPrimitive(QStyle.PrimitiveElement.PE_IndicatorCheckBox, option, painter, self)
        x, middle = box.right() + GAP, self.height() // 2
        on = self.isChecked()
        if on:
            painter.setPen(bound_pen(self.state.kind, names))
            painter.drawLine(QPoint(x, middle), QPoint(x + SAMPLE, middle))
        x += SAMPLE + GAP
        place = QRectF(x, middle - SIGN / 2.0, SIGN, SIGN)
        painter.setOpacity(1.0 if on else 0.4)
        draw_verdict(painter, place, SIGNS[self.state.satisfied], names)
        painter.setOpacity(1.0)
        group = QPalette.ColorGroup.Active if on else QPalette.ColorGroup.Disabled
        painter.setPen(self.palette().color(group, QPalette.ColorRole.WindowText))
        self._draw_words(painter, x + SIGN + GAP)
        if self.hasFocus():
            painter.setPen(names.accent)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def _draw_words(self, painter: QPainter, left: int) -> None:
        """Name, elided where it must be, and value and limit, or that it is unknown: beside it or below it."""
        state, metrics = self.state, self.fontMetrics()
        unknown = state.satisfied is None and state.value == "?"
        numbers = typeset(f"unknown, {state.note}" if unknown else f"{state.value} {state.limit}".rstrip())
        width, high = self.width() - left - 2, metrics.height()
        flags = Qt.AlignmentFlag.AlignVCenter
        if self.width() < ONE_LINE:
            rooms = [QRect(left, 2 + line * high, width, high) for line in range(2)]
        else:
            room = min(metrics.horizontalAdvance(numbers) + 2, 2 * width // 3)
            rooms = [
                QRect(left, 0, width - room - GAP, self.height()),
                QRect(self.width() - room, 0, room, self.height()),
            ]
        for place, text in zip(rooms, (state.name, numbers), strict=True):
            painter.drawText(place, flags, metrics.elidedText(text, Qt.TextElideMode.ElideRight, place.width()))
