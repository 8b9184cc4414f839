"""Fields of the active axle: tire, wheel, width, travel, steering lock."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from msgspec.structs import replace
from PySide6.QtWidgets import QFormLayout, QGroupBox, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.edits import axle_words, confirm, confirm_parts, set_lock, set_tire, set_travel, set_wheel, set_width
from app.panels.entry_field import FIELD_HEIGHT, EntryField
from app.panels.length_field import LengthField, MeasuredField
from app.units import format_angle, parse_angle
from geometry.errors import RigError
from geometry.rig.axle import Axle
from geometry.rig.naming import housing_part
from geometry.rig.wheel import tire_dimensions, wheel_offset


class AxleForm(QWidget):
    """Every field commits one undo step for the active axle and shows why a value cannot be used beside itself."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.size_text: EntryField[str] = EntryField("Tire size", str.strip, str, self._set_size, unit=document.unit)
        self.tire = {
            "diameter": self._measured("Tire diameter", partial(self._set_tire, "diameter")),
            "section_width": self._measured("Section width", partial(self._set_tire, "section_width")),
            "loaded_radius": self._measured("Loaded radius", partial(self._set_tire, "loaded_radius")),
            "shoulder_radius": self._measured("Shoulder radius", partial(self._set_tire, "shoulder_radius")),
        }
        self.rim_width = self._length("Rim width", self._set_rim_width)
        self.offset = self._measured("Offset", partial(self._set_offset, "offset", "backspacing"))
        self.backspacing = self._measured("Backspacing", partial(self._set_offset, "backspacing", "offset"))
        self.mount_width = self._length("Wheel-mount width", self._set_width)
        self.travel = {
            name: self._length(words, partial(self._set_travel, name))
            for name, words in (("bump", "Bump"), ("droop", "Droop"), ("stop_station", "Stop station"))
        }
        self.locks = {
            side: self._angle(f"Lock, {side} turn", partial(self._set_lock, side)) for side in ("left", "right")
        }
        self._lay_out()
        for place, field in self._places().items():
            field.confirm_asked.connect(partial(self._confirm, place, field.line.accessibleName()))
        for signal in (document.rig_changed, document.active_axle_changed):
            signal.connect(self.refresh)
        document.unit_changed.connect(self._show_unit)
        self.refresh()

    @property
    def lengths(self) -> tuple[LengthField | MeasuredField, ...]:
        """All fields that hold a length."""
        return (
            *self.tire.values(),
            self.rim_width,
            self.offset,
            self.backspacing,
            self.mount_width,
            *self.travel.values(),
        )

    def refresh(self) -> None:
        """Take all values from the document anew."""
        axle = self._axle()
        self._title.setTitle(f"{axle.name or axle.id}: width and travel")
        self.size_text.show_value(axle.tire.size)
        for name, field in self.tire.items():
            field.show_value(getattr(axle.tire, name))
        self.rim_width.show_value(axle.wheel.rim_width)
        self.offset.show_value(axle.wheel.offset)
        self.backspacing.show_value(axle.wheel.backspacing)
        self.mount_width.show_value(axle.width)
        for name, length in self.travel.items():
            length.show_value(getattr(axle, name))
        self._steering.setVisible(axle.steering is not None)
        if axle.steering is not None:
            self.locks["left"].show_value(axle.steering.lock_left_deg)
            self.locks["right"].show_value(axle.steering.lock_right_deg)
        self._show_habits(axle)
        self._show_marks(axle)

    def _places(self) -> dict[str, EntryField[Any]]:
        """Fields by where their values stand in the axle."""
        return {
            "width": self.mount_width,
            **self.travel,
            "tire/size": self.size_text,
            **{f"tire/{name}": field for name, field in self.tire.items()},
            "wheel/rim_width": self.rim_width,
            "wheel/offset": self.offset,
            "wheel/backspacing": self.backspacing,
            **{f"steering/lock_{side}_deg": field for side, field in self.locks.items()},
        }

    def _show_marks(self, axle: Axle) -> None:
        """Mark what nobody has confirmed, and offer to confirm all of it."""
        marks = [place for place in self._document.shown_rig.unconfirmed if place.startswith(f"axles/{axle.id}/")]
        for place, field in self._places().items():
            field.show_unconfirmed(f"axles/{axle.id}/{place}" in marks)
        count = len(marks)
        are = "value of this axle and its links is" if count == 1 else "values of this axle and its links are"
        self._marks.setText(f"{count} {are} unconfirmed. Fields mark theirs with “?”.")
        self._marks.setVisible(bool(count))
        self.confirm_button.setVisible(bool(count))

    def _show_habits(self, axle: Axle) -> None:
        """What counts where a field is empty."""
        try:
            tire, offset = tire_dimensions(axle.tire), wheel_offset(axle.wheel)
        except RigError:
            return
        self.tire["diameter"].show_habit(2.0 * tire.radius)
        self.tire["section_width"].show_habit(tire.section_width)
        self.tire["loaded_radius"].show_habit(tire.loaded_radius)
        self.tire["shoulder_radius"].show_habit(tire.shoulder_radius)
        self.offset.show_habit(offset)
        self.backspacing.show_habit(offset + axle.wheel.rim_width / 2.0 + axle.wheel.flange)

    def _show_unit(self) -> None:
        for field in (self.size_text, *self.lengths, *self.locks.values()):
            field.show_unit(self._document.unit)
        self.refresh()

    def _axle(self) -> Axle:
        return self._document.shown_rig.axle(self._document.active_axle)

    def _measured(self, name: str, commit: Callable[[float | None], None]) -> MeasuredField:
        return MeasuredField(name, self._document.unit, commit)

    def _length(self, name: str, commit: Callable[[float], None]) -> LengthField:
        return LengthField(name, self._document.unit, commit)

    def _angle(self, name: str, commit: Callable[[float], None]) -> EntryField[float]:
        return EntryField(name, parse_angle, format_angle, commit, unit=self._document.unit)

    def _lay_out(self) -> None:
        self._title = QGroupBox()
        self._steering = QGroupBox("Steering")
        groups: list[tuple[QGroupBox, list[tuple[str, QWidget]]]] = [
            (self._title, [("Width", self.mount_width), *((n.line.accessibleName(), n) for n in self.travel.values())]),
            (
                QGroupBox("Tire"),
                [("Size", self.size_text), *((f.line.accessibleName(), f) for f in self.tire.values())],
            ),
            (
                QGroupBox("Wheel"),
                [("Rim width", self.rim_width), ("Offset", self.offset), ("Backspacing", self.backspacing)],
            ),
            (self._steering, [(field.line.accessibleName(), field) for field in self.locks.values()]),
        ]
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self._marks = QLabel()
        self._marks.setWordWrap(True)
        self.confirm_button = QPushButton("Confirm all of this a&xle")
        self.confirm_button.setMinimumHeight(FIELD_HEIGHT)
        self.confirm_button.clicked.connect(self._confirm_axle)
        column.addWidget(self._marks)
        column.addWidget(self.confirm_button)
        for group, fields in groups:
            form = QFormLayout(group)
            form.setVerticalSpacing(4)
            for words, field in fields:
                form.addRow(words, field)
            column.addWidget(group)

    # Commits

    def _confirm(self, place: str, name: str) -> None:
        axle = self._document.active_axle
        confirm(self._document, [f"axles/{axle}/{place}"], f"Confirm {name[:1].lower()}{name[1:]}")

    def _confirm_axle(self) -> None:
        axle = self._document.rig.axle(self._document.active_axle)
        confirm_parts(self._document, [housing_part(axle)], f"Confirm {axle_words(axle)}")

    def _set_size(self, size: str) -> None:
        axle = self._document.rig.axle(self._document.active_axle)
        set_tire(self._document, axle.id, replace(axle.tire, size=size))

    def _set_tire(self, name: str, value: float | None) -> None:
        axle = self._document.rig.axle(self._document.active_axle)
        set_tire(self._document, axle.id, replace(axle.tire, **{name: value}))

    def _set_rim_width(self, value: float) -> None:
        axle = self._document.rig.axle(self._document.active_axle)
        set_wheel(self._document, axle.id, replace(axle.wheel, rim_width=value))

    def _set_offset(self, name: str, other: str, value: float | None) -> None:
        axle = self._document.rig.axle(self._document.active_axle)
        set_wheel(self._document, axle.id, replace(axle.wheel, **{name: value, other: None}))

    def _set_width(self, value: float) -> None:
        set_width(self._document, self._document.active_axle, value)

    def _set_travel(self, name: str, value: float) -> None:
        set_travel(self._document, self._document.active_axle, **{name: value})

    def _set_lock(self, side: str, value: float) -> None:
        steering = self._document.rig.axle(self._document.active_axle).steering
        if steering is None:
            return
        left = value if side == "left" else steering.lock_left_deg
        right = value if side == "right" else steering.lock_right_deg
        set_lock(self._document, self._document.active_axle, left_deg=left, right_deg=right)
