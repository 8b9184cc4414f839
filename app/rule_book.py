"""The rules of the open rig, and which of them are switched on; each rig keeps its switches from start to start."""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QSettings, Signal

from app.document import Document
from app.width_rules import KnownRules, RuleState, Span, clearance_state, common_spans, rule_state

if TYPE_CHECKING:
    from app.trials import Trial
    from geometry.stance.rules import WidthRule

OFF: Final = "rules_off_by_rig"
"""Group of the settings with the keys of the rules that are switched off, one a line, for each rig by its file, or by
its name before it has one: a rule of one rig says nothing of a rule of another that has the same key."""


class RuleBook(QObject):
    """Rules by axle, and their switches.

    Signals
    -------
    switched
        A rule was switched on or off.

    """

    switched = Signal()

    def __init__(self, document: Document, settings: QSettings | None = None) -> None:
        super().__init__(document)
        self._document = document
        self._settings = settings
        self._known = KnownRules()
        self._off = self._kept()
        document.rig_replaced.connect(self._start_over)
        document.path_changed.connect(self._keep)

    def rules(self, axle_id: str) -> tuple[WidthRule, ...]:
        """The rules of an axle of the rig as shown, beside clearance."""
        return self._known.of(self._document.shown_rig, axle_id)

    @property
    def off(self) -> frozenset[str]:
        """Keys of the rules that are switched off."""
        return frozenset(self._off)

    def is_on(self, key: str) -> bool:
        """Whether a rule is switched on."""
        return key not in self._off

    def switch(self, key: str, *, on: bool) -> None:
        """Switch a rule on or off; all axles have the same switches."""
        if on == self.is_on(key):
            return
        self._off ^= {key}
        self._keep()
        self.switched.emit()

    def _key(self) -> str:
        """Where the settings keep the switches of the open rig."""
        document = self._document
        named = document.rig.name if document.path is None else str(document.path.absolute())
        return f"{OFF}/{sha256(named.encode()).hexdigest()[:16]}"

    def _kept(self) -> set[str]:
        kept = "" if self._settings is None else self._settings.value(self._key(), "")
        return set(str(kept).split("\n")) - {""}

    def _keep(self) -> None:
        if self._settings is None:
            return
        if self._off:
            self._settings.setValue(self._key(), "\n".join(sorted(self._off)))
        else:
            self._settings.remove(self._key())

    def _start_over(self) -> None:
        """Take the switches of another rig."""
        off = self._kept()
        if off != self._off:
            self._off = off
            self.switched.emit()

    def count_off(self, axle_id: str) -> int:
        """How many rules of an axle beside clearance are switched off."""
        return sum(not self.is_on(rule.key) for rule in self.rules(axle_id))

    def states(self, axle_id: str, width: float | None = None) -> tuple[RuleState, ...]:
        """All rules of an axle at its own width or another one [mm], clearance first, switched on or off."""
        document = self._document
        rig, unit = document.shown_rig, document.unit
        at = rig.axle(axle_id).width if width is None else width
        clear = clearance_state(document.width_curve(axle_id), at, rig.wanted, unit)
        return (clear, *(rule_state(rule, at, rig, unit) for rule in self.rules(axle_id)))

    def states_on(self, axle_id: str) -> tuple[RuleState, ...]:
        """The rules of an axle at its own width that are switched on, clearance among them."""
        return tuple(state for state in self.states(axle_id) if self.is_on(state.key))

    def common(self, axle_id: str, low: float, high: float) -> tuple[Span, ...] | None:
        """Widths between `low` and `high` [mm] that satisfy all rules switched on; None = that of one is unknown."""
        return common_spans(self.states_on(axle_id), low, high)

    def broken(self, axle_id: str, width: float | None = None) -> tuple[WidthRule, ...]:
        """The rules beside clearance that are switched on and broken at the axle's own width or another one [mm]."""
        at = self._document.shown_rig.axle(axle_id).width if width is None else width
        return tuple(rule for rule in self.rules(axle_id) if self.is_on(rule.key) and rule.at(at).satisfied is False)

    def trials(self, axle_id: str) -> tuple[Trial, ...]:
        """The trial list of an axle, with the checks as far as they are done and the rules that are switched on."""
        from app.trials import trial

        document = self._document
        rig, known = document.shown_rig, document.trials(axle_id)
        study = document.study
        problem = next((each.problem for each in study.axles if each.axle == axle_id), "") if study is not None else ""
        rules = tuple(rule for rule in self.rules(axle_id) if self.is_on(rule.key))
        masses = self._known.masses(rig)
        widths = sorted(set(rig.axle(axle_id).trial_widths))
        off = self.count_off(axle_id)
        return tuple(
            trial(rig, axle_id, width, known.get(width) or problem or None, masses, rules, off=off) for width in widths
        )
