"""The pictures behind the views: added, scaled by two points and a known length, levelled, moved, faded, locked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from msgspec.structs import replace
from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app import dialogs
from app.canvas.modes import Modes
from app.canvas.pictures import picture_of
from app.canvas.underlays import Shown, Underlays, middle
from app.document import Document
from app.edits import change_rig
from app.files.pictures import PictureError, picture_bytes, taken_in
from app.panels.entry_field import FIELD_HEIGHT, EntryField
from app.panels.help_window import add_help
from app.panels.holders import Scrolled
from app.panels.length_field import LengthField
from app.underlays.placing import LevelPicture, MeasurePicture, MovePicture, replace_underlay
from app.units import EntryError, format_angle, parse_angle
from geometry.errors import RigError
from geometry.outline.view import VIEWS
from geometry.rig.underlay import Place, Underlay, scaled, turned
from geometry.sketch.names import free_id

PICTURES: Final = "Pictures (*.png *.jpg *.jpeg *.svg *.pdf)"

FIRST_WIDTH: Final = 4000.0
"""Width at which a new picture is placed [mm]: about a rig's length, so that it is seen at once."""

NOTE: Final = (
    "A photo shows near things larger than far ones. Shoot from as far away as you can, level with the hubs and square "
    "to the rig, and scale by a length in the plane of the tires, such as the wheelbase."
)


class UnderlayDialog(QDialog):
    """A small window beside the views; every change in it is one undo step."""

    def __init__(self, document: Document, underlays: Underlays, modes: Modes, parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Tool)
        self.setWindowTitle("Pictures behind the views")
        add_help(self, "pictures.md")
        self._document = document
        self._underlays = underlays
        self._modes = modes
        self._places: tuple[Place, Place] | None = None
        self._make_fields()
        self._lay_out()
        for signal in (document.rig_changed, document.unit_changed, document.path_changed):
            signal.connect(self.refresh)
        self.list.currentRowChanged.connect(self._choose)
        self.refresh()

    # Layout

    def _make_fields(self) -> None:
        unit = self._document.unit
        self.list = QListWidget()
        self.list.setAccessibleName("Pictures")
        self.list.setMaximumHeight(84)
        self.problem = QLabel(wordWrap=True)
        self.view = QComboBox()
        self.view.setAccessibleName("View")
        self.view.addItems([view.title for view in VIEWS])
        self.view.activated.connect(lambda index: self._change("Move picture", view=VIEWS[index].key))
        self.page: EntryField[int] = EntryField("Page", _page_number, str, self._set_page, unit=unit)
        self.width_field = LengthField("Width of the picture", unit, self._set_width)
        self.right = LengthField("Right of the origin", unit, lambda value: self._change("Move picture", right=value))
        self.down = LengthField("Below the origin", unit, lambda value: self._change("Move picture", down=value))
        self.turn: EntryField[float] = EntryField("Turn", parse_angle, format_angle, self._set_turn, unit=unit)
        self.fade = QSlider(Qt.Orientation.Horizontal)
        self.fade.setRange(0, 100)
        self.fade.setMinimumHeight(FIELD_HEIGHT)
        self.fade.setAccessibleName("Fade")
        self.fade.setTracking(False)
        self.fade.valueChanged.connect(lambda share: self._change("Fade picture", fade=share / 100.0))
        self.locked, self.shown = QCheckBox("&Locked"), QCheckBox("&Shown")
        self.locked.clicked.connect(lambda on: self._change("Lock picture" if on else "Unlock picture", locked=on))
        self.shown.clicked.connect(lambda on: self._change("Show picture" if on else "Hide picture", shown=on))
        self.distance = LengthField("Known length", unit, self._scale)

    def _lay_out(self) -> None:
        inside = QWidget()
        column = QVBoxLayout(inside)
        QVBoxLayout(self).addWidget(Scrolled(inside, "Pictures"))
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.list)
        self.add, self.remove = self._button("&Add…", self.add_picture), self._button("&Remove", self._remove)
        self.again = self._button("Take as it is &now", self._take_as_is)
        column.addLayout(_row(self.add, self.remove, self.again))
        column.addWidget(self.problem)
        form = QFormLayout()
        form.addRow("&View", self.view)
        form.addRow("&Page", self.page)
        form.addRow("&Width", self.width_field)
        form.addRow("Ri&ght of origin", self.right)
        form.addRow("&Below origin", self.down)
        form.addRow("&Turn", self.turn)
        form.addRow("&Fade", self.fade)
        column.addLayout(form)
        column.addLayout(_row(self.locked, self.shown))
        self.scale_button = self._button("S&cale by two points", self._pick_length)
        self.level_button = self._button("L&evel by two points", self._level)
        self.move_button = self._button("&Move by two points", self._move)
        column.addLayout(_row(self.scale_button, self.level_button, self.move_button))
        known = QFormLayout()
        known.addRow("&Known length", self.distance)
        column.addLayout(known)
        column.addWidget(QLabel(NOTE, wordWrap=True))

    def _button(self, words: str, run: Callable[[], None]) -> QPushButton:
        button = QPushButton(words)
        button.setAutoDefault(False)  # Enter belongs to the fields
        button.setMinimumHeight(FIELD_HEIGHT)
        button.clicked.connect(run)
        return button

    # What is shown

    @property
    def chosen(self) -> Underlay | None:
        """The underlay whose fields are shown."""
        row, underlays = self.list.currentRow(), self._document.shown_rig.underlays
        return underlays[row] if 0 <= row < len(underlays) else None

    def refresh(self) -> None:
        """Take everything from the document anew."""
        names = [f"{each.file} ({each.view})" for each in self._document.shown_rig.underlays]
        with QSignalBlocker(self.list):
            row = self.list.currentRow()
            self.list.clear()
            self.list.addItems(names)
            self.list.setCurrentRow(min(max(row, 0), len(names) - 1))
        for field in (self.width_field, self.right, self.down, self.turn, self.distance):
            field.show_unit(self._document.unit)
        self._show()

    def _choose(self) -> None:
        self._places = None
        self._modes.leave()
        self._show()

    def _show(self) -> None:
        underlay = self.chosen
        free = underlay is not None and not underlay.locked
        fields: tuple[QWidget, ...] = (self.view, self.page, self.width_field, self.right, self.down, self.turn)
        for widget in (*fields, self.scale_button, self.level_button, self.move_button):
            widget.setEnabled(free)
        always: tuple[QWidget, ...] = (self.fade, self.locked, self.shown, self.remove)
        for widget in always:
            widget.setEnabled(underlay is not None)
        self.distance.setEnabled(free and self._places is not None)
        state = self._underlays.state(underlay) if underlay is not None else None
        self._show_problem(state)
        if state is not None:
            self._show_values(state)

    def _show_problem(self, state: Shown | None) -> None:
        words = state.problem if state is not None else ""
        if state is None:
            words = "Add a photo or drawing, then scale it by two points whose distance you know."
        self.problem.setText(f"{words[:1].upper()}{words[1:].rstrip('.')}." if words else "")
        self.problem.setVisible(bool(words))
        self.again.setVisible(bool(state and state.problem and state.picture is not None))

    def _show_values(self, state: Shown) -> None:
        underlay = state.underlay
        with QSignalBlocker(self.fade):
            self.fade.setValue(round(100.0 * underlay.fade))
        self.view.setCurrentIndex([view.key for view in VIEWS].index(underlay.view))
        self.page.show_value(underlay.page)
        self.page.setEnabled(self.page.isEnabled() and underlay.file.lower().endswith(".pdf"))
        self.locked.setChecked(underlay.locked)
        self.shown.setChecked(underlay.shown)
        self.right.show_value(underlay.right)
        self.down.show_value(underlay.down)
        self.turn.show_value(underlay.turn_deg)
        self.width_field.setEnabled(self.width_field.isEnabled() and state.picture is not None)
        if state.picture is not None:
            self.width_field.show_value(state.picture.size.width() * underlay.mm_per_pixel)

    # Edits

    def add_picture(self) -> None:
        """Ask for a picture and put it behind the side view."""
        path = self._document.path
        if path is None:
            dialogs.say(self, "The rig has no file yet.", "Save the rig first: pictures are kept beside its file.")
            return
        source = dialogs.ask_open(self, "Add picture", path.parent, PICTURES)
        if source is not None:
            self.place(source)

    def place(self, source: Path) -> None:
        """Put a picture behind the side view, the rig in its middle; what cannot be used is said in a sentence."""
        path, rig = self._document.path, self._document.rig
        if path is None:
            return
        try:
            picture_of(picture_bytes(source), source.name)  # before it is copied beside the rig
            file, digest = taken_in(path, source)
            fresh = self._placed(Underlay(id="picture-1", view="side", file=file, sha256=digest))
            fresh = replace(fresh, id=free_id({each.id for each in rig.underlays}, "picture-"))
            change_rig(self._document, replace(rig, underlays=(*rig.underlays, fresh)), "Add picture")
        except (PictureError, RigError, OSError) as refused:
            dialogs.say(self, f"{source.name} cannot be used.", dialogs.reason(refused))
            return
        self.list.setCurrentRow(len(rig.underlays))

    def _placed(self, fresh: Underlay) -> Underlay:
        """A new picture at a size at which it is seen, standing on the ground below the middle of the rig."""
        state = self._underlays.state(fresh)
        if state.picture is None:
            raise PictureError(state.problem)
        axles, scale = self._document.rig.axles, FIRST_WIDTH / state.picture.size.width()
        right = -sum(axle.station for axle in axles) / len(axles) - FIRST_WIDTH / 2.0
        return replace(fresh, mm_per_pixel=scale, right=right, down=-scale * state.picture.size.height())

    def _remove(self) -> None:
        underlay, rig = self.chosen, self._document.rig
        if underlay is not None:
            left = tuple(each for each in rig.underlays if each.id != underlay.id)
            change_rig(self._document, replace(rig, underlays=left), "Remove picture")

    def _take_as_is(self) -> None:
        underlay, path = self.chosen, self._document.path
        if underlay is not None and path is not None:
            _, digest = taken_in(path, path.parent / underlay.file)
            self._change("Take picture as it is", sha256=digest)

    def _change(self, text: str, **changes: Any) -> None:
        underlay = self.chosen
        if underlay is not None:
            replace_underlay(self._document, replace(underlay, **changes), text)

    def _set_page(self, page: int) -> None:
        underlay = self.chosen
        if underlay is not None:
            state = self._underlays.state(replace(underlay, page=page))
            if state.picture is None:
                raise EntryError(state.problem)
            self._change("Change page", page=page)

    def _set_width(self, width: float) -> None:
        state = self._underlays.state(self.chosen) if self.chosen is not None else None
        if state is not None and state.picture is not None:
            left = (state.underlay.right, state.underlay.down)
            right = (left[0] + state.picture.size.width() * state.underlay.mm_per_pixel, left[1])
            replace_underlay(self._document, scaled(state.underlay, left, right, width), "Scale picture")

    def _set_turn(self, turn_deg: float) -> None:
        state = self._underlays.state(self.chosen) if self.chosen is not None else None
        if state is not None:
            at = middle(state.underlay, state.picture) if state.picture is not None else None
            about = (at.x(), at.y()) if at is not None else (state.underlay.right, state.underlay.down)
            replace_underlay(self._document, turned(state.underlay, turn_deg, about), "Turn picture")

    # Two points

    def _pick_length(self) -> None:
        if self.chosen is not None:
            self._modes.enter(MeasurePicture(self._document, self.chosen.id, self._take_length))

    def _take_length(self, one: Place, other: Place) -> None:
        self._places = (one, other)
        self.distance.setEnabled(True)
        apart = ((other[0] - one[0]) ** 2 + (other[1] - one[1]) ** 2) ** 0.5
        self.distance.show_value(apart)
        self.activateWindow()
        self.distance.line.setFocus(Qt.FocusReason.TabFocusReason)

    def _scale(self, distance: float) -> None:
        if self.chosen is not None and self._places is not None:
            replace_underlay(self._document, scaled(self.chosen, *self._places, distance), "Scale picture")
            self._places = None
            self._modes.leave()
            self._show()

    def _level(self) -> None:
        if self.chosen is not None:
            self._modes.enter(LevelPicture(self._document, self.chosen.id))

    def _move(self) -> None:
        if self.chosen is not None:
            self._modes.enter(MovePicture(self._document, self.chosen.id))


def _page_number(text: str) -> int:
    if not text.strip().isdecimal() or not 1 <= int(text) <= 9999:
        raise EntryError("write the number of a page, from 1 on")
    return int(text)


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    for widget in widgets:
        row.addWidget(widget)
    return row
