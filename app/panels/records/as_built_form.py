"""What was measured on the tacked or welded axle, each number beside its plan, and the check as built."""

from __future__ import annotations

from datetime import date
from typing import Final

from PySide6.QtWidgets import QFormLayout, QGroupBox, QHBoxLayout, QLabel, QVBoxLayout

from app.document import Document
from app.edits import with_axle
from app.measured_table import size_words
from app.panels.records.axle_items import AS_BUILT
from app.panels.records.form import RecordForm, message_label, show_ink
from app.panels.records.items import Item
from app.panels.records.topics import Topic
from app.panels.verdict_line import VerdictSymbol
from app.typeset import typeset
from app.units import LengthUnit, in_unit
from app.wording import built_sentence, difference_words, doubt_words
from geometry.errors import PlanError
from geometry.plan.as_built import FIELDS, AsBuiltReport, Difference, as_built_report, is_measured
from geometry.plan.half import SUM
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt

NOTHING_YET: Final = "Nothing measured yet: there is no answer as built before a number stands below."

BELOW: Final = {"halves": "half_right"}
"""Below which field a difference stands that has none of its own."""


class AsBuiltForm(RecordForm):
    """The record of an axle with differences, tolerances and verdict; a button starts one."""

    def __init__(self, document: Document, topic: Topic) -> None:
        self.differences: dict[str, QLabel] = {}
        super().__init__(document, topic, AS_BUILT)
        self.start_button = self.button("Enter what was measured", self.start)
        self.remove_button = self.button("Remove this record", self.remove)
        self.symbol, self.verdict, self.plan = VerdictSymbol(), QLabel(), message_label("Problem of the plan")
        self.verdict.setWordWrap(True)
        self.verdict.setAccessibleName("Verdict as built")
        self.check = QGroupBox("Checked over the whole travel, as built")
        column = QVBoxLayout(self.check)
        row = QHBoxLayout()
        row.addWidget(self.symbol)
        row.addWidget(self.verdict, 1)
        column.addLayout(row)
        self.column.insertWidget(0, self.start_button)
        self.column.insertWidget(1, self.check)
        self.column.insertWidget(3, self.plan)
        self.column.addWidget(self.remove_button)
        document.study_finished.connect(self._refresh_if_seen)

    def add_below(self, form: QFormLayout, item: Item) -> None:
        """Below each measured number: its plan, the difference, and whether that is allowed."""
        if item.empty == "not measured":
            said = message_label(f"{item.words} beside its plan")
            self.differences[item.path[-1]] = said
            form.addRow(said)

    # Keeping up

    def refresh(self) -> None:
        """Take record, plan and verdict from the document anew."""
        axle = self._axle()
        there = axle is not None and axle.as_built is not None
        for widget in (*self.boxes, self.check, self.remove_button):
            widget.setVisible(there)
        self.start_button.setVisible(not there)
        self.plan.hide()
        self.say("")
        if axle is None or not there:
            return
        super().refresh()
        self._show_differences(axle)
        self._show_verdict(axle)

    def _axle(self) -> Axle | None:
        return next((axle for axle in self._document.shown_rig.axles if axle.id == self._topic.axle), None)

    def _show_differences(self, axle: Axle) -> None:
        try:
            report = as_built_report(axle)
        except PlanError as refused:
            self.plan.setText(typeset(in_unit(f"The plan cannot be built: {refused.problem}.", self._document.unit)))
            show_ink(self.plan, problem=True)
            self.plan.show()
            report = None
        told = {} if report is None else _by_field(report)
        for name, label in self.differences.items():
            found = told.get(name, [])
            show_ink(label, problem=any(each.within is False for each in found))
            words = (words for each in found if (words := said_of(each, self._document.unit)))
            label.setText(typeset(" ".join(words)))
            label.setVisible(bool(label.text()))

    def _show_verdict(self, axle: Axle) -> None:
        study = self._document.study
        measured = is_measured(axle.as_built)
        self.symbol.setVisible(measured)
        if not measured:
            self.verdict.setText(NOTHING_YET)
            return
        if study is None or study.in_short or study.as_built is None:
            self.symbol.show_verdict(None)
            self.verdict.setText("Checking as built…")
            return
        found = study.as_built
        self.symbol.show_verdict(found.sign, words="out of tolerance" if found.sign is not found.verdict else "")
        self.verdict.setText(typeset(built_sentence(study, self._document.unit)))

    # Commands

    def start(self) -> None:
        """Start a record of today."""
        record = AsBuilt(date=date.today().isoformat(), stage="tacked")  # noqa: DTZ011  (the builder's own day)
        self._change(
            with_axle(self._document.rig, self._topic.axle, as_built=record), f"Start record of {self.words()}"
        )

    def remove(self) -> None:
        """Forget what was measured."""
        self._change(with_axle(self._document.rig, self._topic.axle, as_built=None), f"Remove record of {self.words()}")


def _by_field(report: AsBuiltReport) -> dict[str, list[Difference]]:
    found: dict[str, list[Difference]] = {}
    for each in report.differences:
        name = BELOW.get(each.name, FIELDS.get(each.name, ""))
        found.setdefault(name, []).append(each)
    return found


def said_of(found: Difference, unit: LengthUnit) -> str:
    """One measured number beside its plan, as “Plan 62 1/2 in; 1/16 in over the plan: in tolerance, ±3.0 mm”.

    Of a tacked axle the plan is told as it is before the welds pull, and finished where that is something else.
    """
    if found.name == "halves":
        return f"Both halves against the width: {_judged(found, unit)}."
    plan = _plan_words(found, unit)
    if found.measured is None:
        return f"{plan}."
    if found.off is None and found.finished.value is not None:
        by = difference_words(found.name, found.measured - found.finished.value, unit)
        plan = f"{plan}; {by} of the finished axle"
    doubt = f" {doubt_words(found, unit)}" if found.is_doubted else ""
    if found.off is None:
        return f"{plan}: not judged.{doubt}"
    return f"{plan}; {_judged(found, unit)}.{doubt}"


def _plan_words(found: Difference, unit: LengthUnit) -> str:
    now, finished = (size_words(found.name, each.value, unit) for each in (found.planned, found.finished))
    if found.planned.value is None:
        if found.finished.value is None:
            return "Plan unknown"
        return f"Plan {finished} finished, while tacked unknown for want of the weld shrink"
    shrinks = found.finished.value is not None and abs(found.planned.value - found.finished.value) > SUM
    return f"Plan {now} while tacked, {finished} finished" if shrinks else f"Plan {now}"


def _judged(found: Difference, unit: LengthUnit) -> str:
    at_least = "at least " if found.by.value is None else ""
    by = difference_words(found.name, found.off or 0.0, unit)
    if found.tolerance is None or found.within is None:
        return f"{by}: not judged, no tolerance"
    allowed = size_words(found.name, found.tolerance, unit, fine=True)
    return f"{at_least}{by}: {'in' if found.within else 'OUT OF'} tolerance, ±{allowed}"
