"""Offering at the start what a crash has left: what it is, when it was written, and how much of it is in no file."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from PySide6.QtWidgets import QWidget

from app import dialogs
from app.keeping.recovery import Found, Recovery, left_behind
from app.keeping.rig_files import RigFiles
from geometry.rig.rig import Rig


def offer_recovery(window: QWidget, files: RigFiles, recovery: Recovery) -> None:
    """Ask about each piece of left work until one is taken up; what is not decided is offered at the next start."""
    for found in left_behind():
        what, details = words(found)
        if found.rig is None:
            dialogs.say(window, what, details)
            continue
        answer = dialogs.ask_to_recover(window, what, details)
        if answer is dialogs.Recover.DISCARD:
            found.discard()
        elif answer is dialogs.Recover.RECOVER and files.may_discard():
            take_up(files, recovery, found, found.rig)
            return


def take_up(files: RigFiles, recovery: Recovery, found: Found, rig: Rig) -> None:
    """Open recovered work as unsaved, with its own file as the place to save it."""
    path = None if found.head is None or found.head.path is None else Path(found.head.path)
    files.start_from(rig, path)
    recovery.adopt(found)


def words(found: Found) -> tuple[str, str]:
    """What was left, and what there is to know before deciding."""
    if found.head is None:
        return "A recovery file is damaged.", f"{found.problem} It stays in {found.place}."
    head = found.head
    if found.rig is None:
        return f"The recovery file of {head.name} is damaged.", f"{found.problem} It stays in {found.place}."
    when = datetime.fromisoformat(head.written).astimezone()
    told = {None: "Its last changes are in no file; they were", 1: "One change is in no file; it was"}
    changes = told.get(head.changes, f"{head.changes} changes are in no file; they were")
    where = f"Its file is {head.path}{_saved(head.path, when)}" if head.path else "It has never been saved."
    return (
        f"Wheelroom ended without saving {head.name}.",
        f"{changes} kept at {when:%H:%M:%S on %d %B %Y}. {where}",
    )


def _saved(path: str, kept: datetime) -> str:
    try:
        saved = datetime.fromtimestamp(Path(path).stat().st_mtime).astimezone()
    except OSError:
        return ", which is not there any more."
    if saved > kept:
        return f", which was saved later, at {saved:%H:%M:%S on %d %B %Y}."
    return "."
