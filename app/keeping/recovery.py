"""The recovery file: unsaved work, written beside nobody's file soon after each change, and offered after a crash.

Each window has one of its own in the state folder, with a claim to it that dies with the process. It goes when its rig
is saved or given up, and not before.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from secrets import token_hex
from threading import Thread
from typing import Final

import msgspec
from PySide6.QtCore import QObject, QTimer, Signal

from app.document import Document
from app.files.rig_file import rig_from_bytes, rig_to_bytes
from app.files.saving import save_bytes
from app.keeping.claims import Claim, state_folder
from geometry.rig.rig import Rig

log = logging.getLogger(__name__)

SOON: Final = 4000
"""From the first change that is not in the recovery file to its being written [ms]: under the ten seconds that are
promised, with room for a slow disk."""

ENDING: Final = ".recovery"


class Head(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The first line of a recovery file; the rig file's text follows it.

    Attributes
    ----------
    name : str
        What the builder knows the rig as.
    path : str or None
        The rig's own file; None = it has none.
    written : str
        When, in ISO 8601, UTC.
    changes : int or None
        How many undo steps are in no file; None = it cannot be told.

    """

    name: str
    path: str | None
    written: str
    changes: int | None


@dataclass(frozen=True, slots=True)
class Found:
    """Work that a crash has left; `rig` is None when the file cannot be read, and `problem` then says why."""

    place: Path
    claim: Claim
    head: Head | None
    rig: Rig | None
    problem: str = ""

    def discard(self) -> None:
        """Give it up for good."""
        _remove(self.place)


class Recovery(QObject):
    """Keeps the recovery file of one document up with it.

    Attributes
    ----------
    failed : Signal(str)
        The file cannot be written, and why; told once until it can be again.

    """

    failed = Signal(str)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._place: Path | None = None
        self._claim: Claim | None = None
        self._writing: Thread | None = None
        self._error, self._told = "", ""
        self._timer = QTimer(self, interval=SOON, singleShot=True)
        self._timer.timeout.connect(self.write)
        document.undo_stack.indexChanged.connect(self._note)
        document.undo_stack.cleanChanged.connect(self._note)
        document.rig_replaced.connect(self._start_over)

    @property
    def place(self) -> Path | None:
        """The file, once there is one."""
        return self._place

    def write(self) -> None:
        """Write what is unsaved, off the interface thread."""
        self._timer.stop()
        self._finish()
        if not self._document.is_modified:
            return
        try:
            self._claim_place()
        except OSError as error:
            self._error = str(error)
            self._tell()
            return
        rig, head = self._document.rig, self._head()
        self._writing = Thread(target=self._put, args=(rig, head), name="recovery")
        self._writing.start()

    def write_now(self) -> None:
        """Write what is unsaved before going on, as when something has gone wrong."""
        self.write()
        self._finish()

    def adopt(self, found: Found) -> None:
        """Go on in the file of what was recovered, so that a second crash loses nothing."""
        self._place, self._claim = found.place, found.claim

    def forget(self) -> None:
        """Remove the file: its rig is saved or given up."""
        self._timer.stop()
        self._finish()
        if self._place is not None:
            _remove(self._place)
        self._place = self._claim = None

    def _note(self) -> None:
        if not self._document.is_modified:
            self.forget()
        elif not self._timer.isActive():
            self._timer.start()

    def _start_over(self) -> None:
        """Another rig was opened, and the builder was asked about the last one before."""
        self.forget()
        self._note()

    def _claim_place(self) -> None:
        while self._claim is None or self._place is None:
            self._place = state_folder("recovery") / f"{token_hex(8)}{ENDING}"
            self._claim = Claim.at(self._place.with_suffix(".lock"))

    def _head(self) -> Head:
        stack, path = self._document.undo_stack, self._document.path
        changes = None if stack.cleanIndex() < 0 else abs(stack.index() - stack.cleanIndex())
        return Head(
            name=self._document.rig.name if path is None else path.name,
            path=None if path is None else str(path.absolute()),
            written=datetime.now(UTC).isoformat(timespec="seconds"),
            changes=changes,
        )

    def _put(self, rig: Rig, head: Head) -> None:
        """Runs in a thread of its own."""
        assert self._place is not None  # noqa: S101  (claimed before)
        try:
            save_bytes(self._place, msgspec.json.encode(head) + b"\n" + rig_to_bytes(rig))
            self._error = ""
        except (OSError, ValueError) as error:
            self._error = str(error)

    def _finish(self) -> None:
        if self._writing is not None:
            self._writing.join()
            self._writing = None
            self._tell()

    def _tell(self) -> None:
        if self._error and self._error != self._told:
            log.warning("no recovery file: %s", self._error)
            self.failed.emit(self._error)
        self._told = self._error


def left_behind() -> Iterator[Found]:
    """What crashed programs have left, the newest first; what other windows work on is theirs."""
    with suppress(OSError):
        files = sorted(state_folder("recovery").glob(f"*{ENDING}"), key=_age)
        for place in files:
            claim = Claim.at(place.with_suffix(".lock"))
            if claim is not None and (found := _read(place, claim)) is not None:
                yield found


def _age(place: Path) -> float:
    try:
        return -place.stat().st_mtime
    except OSError:
        return 0.0


def _read(place: Path, claim: Claim) -> Found | None:
    try:
        first, _, rest = place.read_bytes().partition(b"\n")
        head = msgspec.json.decode(first, type=Head)
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        return Found(place, claim, None, None, f"The recovery file cannot be read: {error}.")
    try:
        return Found(place, claim, head, rig_from_bytes(rest, head.name))
    except ValueError as error:
        return Found(place, claim, head, None, str(error))


def _remove(place: Path) -> None:
    with suppress(OSError):
        place.unlink()
