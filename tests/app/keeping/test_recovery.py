from __future__ import annotations

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app import dialogs
from app.dialogs import Recover
from app.document import Document
from app.edits import set_width
from app.files import saving
from app.files.saving import FileSaveError
from app.keeping import recovery as module
from app.keeping.offering import offer_recovery, words
from app.keeping.recovery import ENDING, SOON, Found, Recovery, left_behind
from app.keeping.rig_files import RigFiles


def kept(state: Path) -> list[Path]:
    return list(state.rglob(f"*{ENDING}"))


def crash(keeper: Recovery) -> None:
    """End without a word, as far as a living process can: the claim goes as with the process."""
    keeper._place = keeper._claim = None


def left() -> Found:
    (found,) = left_behind()
    return found


def test_a_change_is_kept_well_within_ten_seconds(
    qtbot: QtBot, document: Document, recovery: Recovery, state: Path
) -> None:
    assert SOON <= 5000
    recovery._timer.setInterval(10)
    set_width(document, "rear", 1750.0)
    qtbot.waitUntil(lambda: bool(kept(state)))
    qtbot.waitUntil(lambda: not recovery._writing or not recovery._writing.is_alive())
    crash(recovery)
    found = left()
    assert found.rig == document.rig
    assert found.head is not None
    assert (found.head.path, found.head.changes) == (None, 1)


def test_what_another_window_works_on_is_not_offered(document: Document, recovery: Recovery) -> None:
    set_width(document, "rear", 1750.0)
    recovery.write_now()
    assert list(left_behind()) == []


def test_the_own_file_is_never_touched_and_the_recovery_file_goes_with_a_save(
    document: Document, recovery: Recovery, state: Path, tmp_path: Path
) -> None:
    own = tmp_path / "own.rig.json"
    document.save(own)
    before = own.read_bytes()
    set_width(document, "rear", 1750.0)
    recovery.write_now()
    assert (own.read_bytes(), len(kept(state))) == (before, 1)
    document.save()
    assert kept(state) == []


def test_undone_to_what_was_saved_there_is_nothing_to_recover(
    document: Document, recovery: Recovery, state: Path
) -> None:
    set_width(document, "rear", 1750.0)
    recovery.write_now()
    document.undo_stack.undo()
    assert kept(state) == []
    document.undo_stack.redo()
    recovery.write_now()
    assert len(kept(state)) == 1


def test_recovered_work_is_unsaved_has_its_own_place_and_survives_a_second_crash(
    document: Document, recovery: Recovery, files: RigFiles, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "own.rig.json"
    document.save(own)
    saved = own.read_bytes()
    set_width(document, "rear", 1750.0)
    work = document.rig
    recovery.write_now()
    crash(recovery)
    document.replace_rig(work.__class__(name="other", axles=work.axles))
    asked: list[str] = []
    monkeypatch.setattr(dialogs, "ask_to_recover", lambda _, *texts: asked.extend(texts) or Recover.RECOVER)
    offer_recovery(files._window, files, recovery)
    assert asked[0] == "Wheelroom ended without saving own.rig.json."
    assert asked[1].startswith("One change is in no file; it was kept at ")
    assert str(own) in asked[1]
    assert (document.rig, document.path, document.is_modified) == (work, own, True)
    assert own.read_bytes() == saved
    crash(recovery)  # before anything was written anew
    assert left().rig == work


@pytest.mark.parametrize(("answer", "stays"), [(Recover.LATER, True), (Recover.DISCARD, False)])
def test_undecided_work_stays_and_discarded_work_goes(
    document: Document, recovery: Recovery, files: RigFiles, state: Path, monkeypatch: pytest.MonkeyPatch,
    answer: Recover, stays: bool,
) -> None:  # fmt: skip
    set_width(document, "rear", 1750.0)
    recovery.write_now()
    crash(recovery)
    document.undo_stack.setClean()
    monkeypatch.setattr(dialogs, "ask_to_recover", lambda *_: answer)
    offer_recovery(files._window, files, recovery)
    assert bool(kept(state)) is stays


def test_a_damaged_recovery_file_is_said_and_stays(
    document: Document, recovery: Recovery, files: RigFiles, state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_width(document, "rear", 1750.0)
    recovery.write_now()
    crash(recovery)
    (place,) = kept(state)
    place.write_bytes(place.read_bytes()[:-200])
    texts: list[str] = []
    monkeypatch.setattr(dialogs, "say", lambda _, *said: texts.extend(said))
    offer_recovery(files._window, files, recovery)
    assert texts[0].endswith("is damaged.")
    assert str(place) in texts[1]
    place.write_bytes(b"\xff\n")
    assert words(left())[0] == "A recovery file is damaged."
    assert place.exists()


def test_a_folder_that_cannot_be_written_is_told_once(
    document: Document, recovery: Recovery, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise FileSaveError("x cannot be written: the disk is full.")

    told: list[str] = []
    recovery.failed.connect(told.append)
    monkeypatch.setattr(module, "save_bytes", refuse)
    for width in (1750.0, 1760.0):
        set_width(document, "rear", width)
        recovery.write_now()
    assert told == ["x cannot be written: the disk is full."]
    monkeypatch.setattr(module, "save_bytes", saving.save_bytes)
    set_width(document, "rear", 1770.0)
    recovery.write_now()
    assert recovery.place is not None
    assert recovery.place.exists()
