"""The width strip: which axle, how wide, where it clears, and the curve above its slider."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.document import Document
from app.edits import set_trials, set_width
from app.panels.entry_field import FIELD_HEIGHT
from app.panels.length_field import LengthField
from app.panels.rule_list import RuleList
from app.panels.width_plot import WidthPlot
from app.rule_book import RuleBook
from app.typeset import typeset
from app.units import LengthUnit, format_clearance, format_length
from app.width_rules import CLEARANCE, common_words
from app.widths import miss_words, nearest_miss
from geometry.contact.findings import WidthCurve, WidthWindow
from geometry.rig.axle import MOST_TRIALS

if TYPE_CHECKING:
    from app.panels.trial_list import TrialList

RULES_SHARE: Final = 0.34
LEAST_RULES: Final = 190
MOST_RULES: Final = 380
"""Width of the list of rules: its share of the strip, and least and most [px]."""


class WidthStrip(QWidget):
    """Sets the width of the active axle by slider, on the curve, or typed."""

    def __init__(self, document: Document, book: RuleBook | None = None) -> None:
        super().__init__()
        self._document = document
        self._book = book = book or RuleBook(document)
        self._common_kept: tuple[object, str] = (None, "")
        self.axles = AxleChooser(document)
        self.field = LengthField("Width", document.unit, self._type_width, beside=True)
        self.field.line.setFixedWidth(self.fontMetrics().horizontalAdvance("0") * 14)
        self.plot = WidthPlot(document, book)
        self.rules = RuleList(document, book)
        self.add_button, self.trials_button = QPushButton("&Add to trials"), QPushButton()
        self.add_button.setToolTip("Put this width on the trial list")
        self.add_button.clicked.connect(self._add_trial)
        self.trials_button.setCheckable(True)
        self.trials_button.setToolTip("Compare the widths on the trial list side by side, in place of the curve")
        self._pages = QStackedWidget()
        self.trials_button.toggled.connect(self._show_trials)
        self._window_words = QLabel()
        self._window_words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._window_words.setWordWrap(True)
        self._lay_out()
        for signal in (document.rig_changed, document.active_axle_changed, document.curve_finished, book.switched):
            signal.connect(self.refresh)
        document.unit_changed.connect(self._show_unit)
        self.refresh()

    def show_problem(self, axle_id: str, problem: str) -> None:
        """Say in place of the curve why there is none."""
        self.plot.show_problem(axle_id, problem)

    def refresh(self) -> None:
        """Take width and window from the document anew."""
        document = self._document
        self.field.show_value(document.shown_rig.axle(document.active_axle).width)
        curve = document.width_curve(document.active_axle)
        words = f"{window_words(curve, document.unit)}{self._common_words(curve)}"
        self._window_words.setText(typeset(words))
        self._window_words.setToolTip(words)
        axle = document.shown_rig.axle(document.active_axle)
        count = len(set(axle.trial_widths))
        self.trials_button.setText(f"Tr&ial list ({count})" if count else "Tr&ial list")
        self.add_button.setEnabled(axle.width not in axle.trial_widths and count < MOST_TRIALS)

    def _common_words(self, curve: WidthCurve | None) -> str:
        """The widths that satisfy all rules switched on, where there are rules beside clearance."""
        axle, unit, book = self._document.active_axle, self._document.unit, self._book
        rules = book.rules(axle)
        self.rules.setVisible(bool(rules))
        off = book.count_off(axle)
        left_out = f"; {off} {'rule' if off == 1 else 'rules'} off" if off else ""
        if curve is None or not curve.complete or not any(book.is_on(rule.key) for rule in rules):
            return left_out
        basis = (rules, curve, unit, tuple(book.is_on(key) for key in (CLEARANCE, *(rule.key for rule in rules))))
        if self._common_kept[0] != basis:  # the words are the same at each step of a drag
            span = (curve.samples[0].width, curve.samples[-1].width)
            words = common_words(book.states_on(axle), book.common(axle, *span), span, unit, every=all(basis[3]))
            self._common_kept = (basis, f". {words}{left_out}")
        return self._common_kept[1]

    def _show_unit(self) -> None:
        self.field.show_unit(self._document.unit)
        self.refresh()

    @cached_property
    def trials(self) -> TrialList:
        """The trial list; made when it is first wanted."""
        from app.panels.trial_list import TrialList

        trials = TrialList(self._document, self._book)
        self._pages.addWidget(trials)
        self._head.insertWidget(self._head.indexOf(self.trials_button) + 1, trials.remove_button)
        return trials

    def _show_trials(self, shown: bool) -> None:
        self.trials.remove_button.setVisible(shown)
        self._pages.setCurrentIndex(int(shown))

    def _add_trial(self) -> None:
        axle = self._document.rig.axle(self._document.active_axle)
        set_trials(self._document, axle.id, (*axle.trial_widths, axle.width))

    def _type_width(self, width: float) -> None:
        set_width(self._document, self._document.active_axle, width)

    def _lay_out(self) -> None:
        axle_label = QLabel("A&xle")
        axle_label.setBuddy(self.axles)
        width_label = QLabel("&Width")
        width_label.setBuddy(self.field.line)
        head = QHBoxLayout()
        head.setSpacing(8)
        for widget in (axle_label, self.axles, width_label, self.field):
            head.addWidget(widget)
        for button in (self.add_button, self.trials_button):
            button.setMinimumHeight(FIELD_HEIGHT)
            head.addWidget(button)
        self._head = head
        head.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 4, 6, 2)
        column.setSpacing(2)
        column.addLayout(head)
        column.addWidget(self._window_words)
        curve = QWidget()
        body = QHBoxLayout(curve)
        body.setContentsMargins(0, 0, 0, 0)
        body.setSpacing(6)
        body.addWidget(self.plot, 1)
        body.addWidget(self.rules)
        self._pages.addWidget(curve)
        column.addWidget(self._pages, 1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.rules.setFixedWidth(min(max(round(RULES_SHARE * self.width()), LEAST_RULES), MOST_RULES))


class AxleChooser(QComboBox):
    """Which axle strip, pad and front view are about."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setMinimumHeight(FIELD_HEIGHT)
        self.setAccessibleName("Axle")
        self.activated.connect(self._choose)
        for signal in (document.rig_changed, document.active_axle_changed):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """List the axles anew."""
        axles = self._document.shown_rig.axles
        names = [axle.name or axle.id for axle in axles]
        with QSignalBlocker(self):
            if names != [self.itemText(row) for row in range(self.count())]:
                self.clear()
                self.addItems(names)
            self.setCurrentIndex([axle.id for axle in axles].index(self._document.active_axle))

    def _choose(self, row: int) -> None:
        self._document.set_active_axle(self._document.shown_rig.axles[row].id)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


def window_words(curve: WidthCurve | None, unit: LengthUnit) -> str:
    """Between which widths everything clears, in words; bounds are rounded inward, so that both still clear."""
    if curve is None or not curve.complete:
        return "Looking for the widths that clear…"
    if not curve.windows:
        low, high = (format_length(sample.width, unit) for sample in (curve.samples[0], curve.samples[-1]))
        missed = nearest_miss(curve)
        more = f"; {miss_words(missed, unit)}" if missed is not None else ""
        return f"No width from {low} to {high} clears{more}"
    return f"Clears {' and '.join(_span_words(window, unit) for window in curve.windows)}"


def _span_words(window: WidthWindow, unit: LengthUnit) -> str:
    low, high = format_clearance(window.low.width, unit, up=True), format_clearance(window.high.width, unit)
    if window.low.reason is None and window.high.reason is None:
        return f"at every width looked at, {low} to {high}"
    if window.low.reason is None:
        return f"up to {high}, looked at from {low}"
    return f"from {low} to {high}" if window.high.reason is not None else f"from {low} on, looked at up to {high}"
