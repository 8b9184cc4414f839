"""Every question and message of the window, one function each, so that nothing else opens a dialog."""

from __future__ import annotations

import logging
import re
from enum import Enum, auto
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Final

from PySide6.QtCore import QStandardPaths, Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.files.rig_file import RigFileError
from app.files.saving import FileSaveError

log = logging.getLogger(__name__)

LOG_SIZE: Final = 1_000_000
"""A log file is put aside when it has grown to this [bytes]."""


class Answer(Enum):
    """What to do with unsaved changes."""

    SAVE = auto()
    DISCARD = auto()
    CANCEL = auto()


class Overwrite(Enum):
    """What to do with a file that another program has changed."""

    WRITE = auto()
    ELSEWHERE = auto()
    CANCEL = auto()


class Recover(Enum):
    """What to do with work that a crash has left."""

    RECOVER = auto()
    DISCARD = auto()
    LATER = auto()


def ask_to_save(parent: QWidget, name: str) -> Answer:
    """Ask what to do with unsaved changes; Esc cancels."""
    buttons = QMessageBox.StandardButton
    answers = {buttons.Save: Answer.SAVE, buttons.Discard: Answer.DISCARD}
    return answers.get(buttons(save_question(parent, name).exec()), Answer.CANCEL)


def save_question(parent: QWidget, name: str) -> QMessageBox:
    """The question whether to save."""
    buttons = QMessageBox.StandardButton
    box = QMessageBox(QMessageBox.Icon.Question, "Wheelroom", f"Save the changes to {name}?", parent=parent)
    box.setInformativeText("They are lost if you do not save them.")
    box.setStandardButtons(buttons.Save | buttons.Discard | buttons.Cancel)
    box.button(buttons.Discard).setText("&Don't Save")
    box.setDefaultButton(buttons.Save)
    box.setEscapeButton(buttons.Cancel)
    return box


def say(parent: QWidget, what: str, why: str) -> None:
    """Tell what could not be done, why, and what to do."""
    box = QMessageBox(QMessageBox.Icon.Warning, "Wheelroom", what, QMessageBox.StandardButton.Ok, parent)
    box.setInformativeText(why)
    box.exec()


def offer_elsewhere(parent: QWidget, name: str, why: str) -> bool:
    """Tell why a file could not be saved; True when another place is wanted."""
    buttons = QMessageBox.StandardButton
    box = QMessageBox(QMessageBox.Icon.Warning, "Wheelroom", f"{name} is not saved.", parent=parent)
    box.setInformativeText(f"{why} The design is still open, with all changes.")
    elsewhere = box.addButton("Save &as…", QMessageBox.ButtonRole.AcceptRole)
    box.addButton(buttons.Cancel)
    box.setDefaultButton(elsewhere)
    box.exec()
    return box.clickedButton() is elsewhere


def ask_to_overwrite(parent: QWidget, name: str) -> Overwrite:
    """Ask whether to save over what another program has written."""
    box = QMessageBox(QMessageBox.Icon.Warning, "Wheelroom", f"{name} has changed on the disk.", parent=parent)
    box.setInformativeText("Another program has written it since you opened it. Saving here replaces what it wrote.")
    elsewhere = box.addButton("Save &as…", QMessageBox.ButtonRole.AcceptRole)
    write = box.addButton("&Replace", QMessageBox.ButtonRole.DestructiveRole)
    box.addButton(QMessageBox.StandardButton.Cancel)
    box.setDefaultButton(elsewhere)
    box.exec()
    if box.clickedButton() is write:
        return Overwrite.WRITE
    return Overwrite.ELSEWHERE if box.clickedButton() is elsewhere else Overwrite.CANCEL


def ask_to_open_copy(parent: QWidget, name: str) -> bool:
    """Ask whether to open a copy of a rig that another window has open."""
    box = QMessageBox(QMessageBox.Icon.Question, "Wheelroom", f"{name} is open in another window.", parent=parent)
    box.setInformativeText("Saving it from both would lose one of the two. A copy can be saved under another name.")
    copy = box.addButton("Open a &copy", QMessageBox.ButtonRole.AcceptRole)
    box.addButton(QMessageBox.StandardButton.Cancel)
    box.setDefaultButton(copy)
    box.exec()
    return box.clickedButton() is copy


def ask_to_recover(parent: QWidget, what: str, details: str) -> Recover:
    """Ask what to do with work that a crash has left; Esc leaves it for later."""
    box = QMessageBox(QMessageBox.Icon.Question, "Wheelroom", what, parent=parent)
    box.setInformativeText(details)
    recover = box.addButton("&Recover", QMessageBox.ButtonRole.AcceptRole)
    discard = box.addButton("&Discard it", QMessageBox.ButtonRole.DestructiveRole)
    later = box.addButton("Decide &later", QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(recover)
    box.setEscapeButton(later)
    box.exec()
    if box.clickedButton() is recover:
        return Recover.RECOVER
    return Recover.DISCARD if box.clickedButton() is discard else Recover.LATER


def ask_open(parent: QWidget, title: str, folder: Path, kinds: str) -> Path | None:
    """Ask for a file to read."""
    name, _ = QFileDialog.getOpenFileName(parent, title, str(folder), kinds)
    return Path(name) if name else None


def ask_save(parent: QWidget, title: str, start: Path, kinds: str) -> Path | None:
    """Ask for a file to write; the ending of the chosen kind is added when none was typed."""
    name, kind = QFileDialog.getSaveFileName(parent, title, str(start), kinds)
    if not name:
        return None
    path = Path(name)
    ending = re.search(r"\*(\.\w+)", kind)
    return path if path.suffix or ending is None else path.with_name(path.name + ending.group(1))


def show_about(parent: QWidget) -> None:
    """Name, version, what it is made of, and under which licences."""
    from app.panels.about import AboutWindow

    AboutWindow(parent).open()


def reason(refused: Exception) -> str:
    """Why a file could not be used, in one sentence that leaves its name to the question above it."""
    if isinstance(refused, RigFileError):
        return refused.sentence if refused.place else _capital(refused.sentence)
    if isinstance(refused, FileSaveError):
        return str(refused)  # begins with the name of the file, as it is spelt
    text = (refused.strerror if isinstance(refused, OSError) else None) or str(refused)
    return _capital(f"{text.rstrip('.')}.")


def _capital(sentence: str) -> str:
    return f"{sentence[:1].upper()}{sentence[1:]}"


def file_words(name: str) -> str:
    """A rig's name as the beginning of a file's name."""
    return re.sub(r"[^\w .,-]+", "", name).strip(" .") or "rig"


def log_folder() -> Path:
    """The desktop's folder for such things as logs."""
    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.StateLocation))


def open_log_folder(parent: QWidget) -> None:
    """Open the folder with the log, or say where it is."""
    if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(log_folder()))):
        say(parent, "The folder with the log cannot be opened from here.", f"It is {log_folder()}.")


def keep_log() -> Path:
    """Write warnings and errors to a file in the log folder as well; returns the file."""
    folder = log_folder()
    folder.mkdir(parents=True, exist_ok=True)
    kept = RotatingFileHandler(folder / "wheelroom.log", maxBytes=LOG_SIZE, backupCount=3, encoding="utf-8", delay=True)
    logging.basicConfig(
        level=logging.WARNING,
        format="%(asctime)s %(levelname)s %(name)s: %(message)s",
        handlers=[kept, logging.StreamHandler()],
    )
    return folder / "wheelroom.log"


def tell_fault(parent: QWidget | None, details: str) -> QMessageBox:
    """Tell that something went wrong inside, with details to copy; the window goes on behind it."""
    box = QMessageBox(QMessageBox.Icon.Warning, "Wheelroom", "Something went wrong inside Wheelroom.", parent=parent)
    box.setInformativeText("Your design is still open. Save it under a new name, then start Wheelroom again.")
    box.setDetailedText(details)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
    return box
