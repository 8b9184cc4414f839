"""Fields for the clearance that is wanted, one for each kind of pair."""

from __future__ import annotations

from functools import partial
from typing import Final

from PySide6.QtWidgets import QFormLayout, QGroupBox

from app.document import Document
from app.edits import confirm, set_wanted
from app.panels.length_field import LengthField
from app.units import format_wanted

WORDS: Final = {
    "tire_bar": "Tire to bar",
    "tire_panel": "Tire to panel",
    "tire_link": "Tire to link",
    "tire_shock": "Tire to shock",
    "axle_bar": "Axle to bar",
    "axle_panel": "Axle to panel",
    "link_bar": "Link to bar",
    "link_panel": "Link to panel",
    "shock_bar": "Shock to bar",
    "shock_panel": "Shock to panel",
    "shaft_bar": "Driveshaft to bar",
    "shaft_panel": "Driveshaft to panel",
    "tire_tie_rod": "Tire to tie rod",
    "link_own": "Link to link or axle",
    "shock_own": "Shock to link or axle",
    "shaft_own": "Driveshaft to link or shock",
    "tie_rod_own": "Tie rod to own parts",
}


class WantedForm(QGroupBox):
    """Wanted clearances of the rig."""

    def __init__(self, document: Document) -> None:
        super().__init__("Wanted clearance")
        self._document = document
        self.fields = {
            kind: LengthField(
                f"Wanted clearance, {words.lower()}", document.unit, partial(self._set, kind), write=format_wanted
            )
            for kind, words in WORDS.items()
        }
        form = QFormLayout(self)
        form.setVerticalSpacing(4)
        for kind, field in self.fields.items():
            form.addRow(WORDS[kind], field)
            field.confirm_asked.connect(
                partial(confirm, document, [f"wanted/{kind}"], f"Confirm {WORDS[kind].lower()} clearance")
            )
        document.rig_changed.connect(self.refresh)
        document.unit_changed.connect(self._show_unit)
        self.refresh()

    def refresh(self) -> None:
        """Take the values from the document anew."""
        for kind, field in self.fields.items():
            field.show_value(getattr(self._document.shown_rig.wanted, kind))
            field.show_unconfirmed(f"wanted/{kind}" in self._document.shown_rig.unconfirmed)

    def _show_unit(self) -> None:
        for field in self.fields.values():
            field.show_unit(self._document.unit)

    def _set(self, kind: str, value: float) -> None:
        set_wanted(self._document, **{kind: value})
