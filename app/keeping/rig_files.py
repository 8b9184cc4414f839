"""Which rig is open in the window and what file it is in: new, open, save, and never let go of by accident."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QSettings
from PySide6.QtWidgets import QMenu, QWidget

from app import dialogs
from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, read_rig_bytes, rig_from_bytes
from app.files.saving import FileSaveError
from app.keeping.claims import Claim
from app.keeping.recent import RecentFiles
from app.keeping.watching import FileWatch
from geometry.rig.rig import Rig

RIG_FILES: Final = "Rig files (*.json)"


class RigFiles(QObject):
    """What the File menu does with rigs.

    Attributes
    ----------
    recent : RecentFiles
    watch : FileWatch
        Tells when another program changes the open rig's file.

    """

    def __init__(self, window: QWidget, document: Document, settings: QSettings) -> None:
        super().__init__(window)
        self._window, self._document = window, document
        self._claim: Claim | None = None
        self.recent = RecentFiles(settings)
        self.watch = FileWatch(document, self)

    # Lists in the menu

    def fill_demos(self, menu: QMenu) -> None:
        """List the demo rigs."""
        menu.clear()
        for path in demo_rigs():
            rig = read_rig(path)
            menu.addAction(rig.name).triggered.connect(lambda _checked, rig=rig: self.open_demo(rig))

    def fill_recent(self, menu: QMenu) -> None:
        """List the files opened lately; those that are gone are greyed."""
        menu.clear()
        for number, path in enumerate(self.recent.paths(), start=1):
            action = menu.addAction(f"&{number % 10} {path.name}  ({path.parent})")
            action.triggered.connect(lambda _checked, path=path: self.open_path(path))
            action.setEnabled(path.exists())
        if menu.isEmpty():
            menu.addAction("No files yet").setEnabled(False)
            return
        menu.addSeparator()
        menu.addAction("&Clear list", self.recent.clear)

    # Another rig

    def new_rig(self) -> None:
        """Ask for a few numbers and start from the rig that they make."""
        if self.may_discard():
            from app.panels.new_rig import open_new_rig

            open_new_rig(self._window, self._document.unit, self.start_from)

    def start_from(self, rig: Rig, path: Path | None = None) -> None:
        """Start over with a rig that is in no file yet as it is; `path` is where it would be saved."""
        self._hold(None if path is None else Claim.of(path))
        self._document.replace_rig(rig, path)
        self._document.undo_stack.resetClean()

    def open_demo(self, rig: Rig) -> None:
        """Start from a demo rig, as a design without a file of its own."""
        if self.may_discard():
            self._hold(None)
            self._document.replace_rig(rig)

    def open_path(self, path: Path) -> None:
        """Open a rig file; the open rig stays when it cannot be read or the builder wants to keep it."""
        if not self.may_discard():
            return
        try:
            data = read_rig_bytes(path)
            rig = rig_from_bytes(data, path.name)
        except (OSError, ValueError) as refused:
            dialogs.say(self._window, f"{path.name} cannot be opened.", dialogs.reason(refused))
            return
        claim = self._claim if self._document.path == path and self._claim is not None else Claim.of(path)
        if claim is None and not dialogs.ask_to_open_copy(self._window, path.name):
            return
        self._hold(claim)
        self._document.replace_rig(rig, None if claim is None else path)
        if claim is not None:
            self.watch.take_note(data)
            self.recent.add(path)

    def choose_and_open(self) -> None:
        """Ask for a rig file and open it."""
        path = dialogs.ask_open(self._window, "Open rig", self.folder(), RIG_FILES)
        if path is not None:
            self.open_path(path)

    def reload(self) -> None:
        """Read the open rig's file again."""
        if self._document.path is not None:
            self.open_path(self._document.path)

    def may_discard(self) -> bool:
        """Whether the open rig may be let go: it is saved, or the builder has saved it or given it up."""
        document = self._document
        if not document.is_modified:
            return True
        answer = dialogs.ask_to_save(self._window, document.path.name if document.path else document.rig.name)
        return answer is dialogs.Answer.DISCARD or (answer is dialogs.Answer.SAVE and self.save())

    # Saving

    def save(self) -> bool:
        """Save to the rig's own file, or ask for one; False when it was not saved."""
        path = self._document.path
        if path is None:
            return self.save_as()
        if self.watch.has_changed():
            answer = dialogs.ask_to_overwrite(self._window, path.name)
            if answer is not dialogs.Overwrite.WRITE:
                return answer is dialogs.Overwrite.ELSEWHERE and self.save_as()
        return self._write(path)

    def save_as(self) -> bool:
        """Ask for a file and save to it; False when it was not saved."""
        start = self._document.path or self.folder() / f"{dialogs.file_words(self._document.rig.name)}.rig.json"
        path = dialogs.ask_save(self._window, "Save rig", start, RIG_FILES)
        return path is not None and self._write(path)

    def _write(self, path: Path) -> bool:
        """Save, and where that fails keep the rig open and unsaved and offer another place."""
        claim = self._claim if path == self._document.path and self._claim is not None else Claim.of(path)
        if claim is None:
            why = "It is open in another window of Wheelroom. Save under another name, or close it there."
            return dialogs.offer_elsewhere(self._window, path.name, why) and self.save_as()
        try:
            with self.watch.pause():
                self._document.save(path)
        except (OSError, ValueError) as refused:
            if isinstance(refused, FileSaveError) and refused.replaced:
                self._hold(claim)
            elif claim is not self._claim:
                claim.release()
            return dialogs.offer_elsewhere(self._window, path.name, dialogs.reason(refused)) and self.save_as()
        self._hold(claim)
        self.recent.add(path)
        return True

    def _hold(self, claim: Claim | None) -> None:
        """Hold the claim to the open rig's file, and give up the one before."""
        if self._claim is not None and self._claim is not claim:
            self._claim.release()
        self._claim = claim

    def folder(self) -> Path:
        """Where the builder's files are, as far as can be told."""
        if self._document.path is not None:
            return self._document.path.parent
        recent = self.recent.paths()
        return recent[0].parent if recent else Path.home()


def on_show(menu: QMenu, fill: Callable[[QMenu], None]) -> QMenu:
    """A menu that is filled each time it opens."""
    menu.aboutToShow.connect(lambda: fill(menu))
    return menu
