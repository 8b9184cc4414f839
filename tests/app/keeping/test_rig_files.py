from __future__ import annotations

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app import dialogs
from app.dialogs import Overwrite
from app.document import Document
from app.edits import set_width
from app.files.rig_file import read_rig, rig_to_bytes, write_rig
from app.files.saving import previous_of
from app.keeping import watching
from app.keeping.claims import Claim
from app.keeping.rig_files import RigFiles


@pytest.fixture
def own(files: RigFiles, document: Document, tmp_path: Path) -> Path:
    path = tmp_path / "own.rig.json"
    write_rig(path, document.rig)
    files.open_path(path)
    assert document.path == path
    return path


def other_writes(path: Path, name: str = "other") -> bytes:
    data = rig_to_bytes(read_rig(path)).replace(b'"name": "', f'"name": "{name} '.encode(), 1)
    path.write_bytes(data)
    return data


def test_a_change_from_outside_is_noticed_and_our_own_saves_are_not(
    qtbot: QtBot, files: RigFiles, document: Document, own: Path
) -> None:
    files.watch._timer.setInterval(20)
    set_width(document, "rear", 1750.0)
    assert files.save()
    with qtbot.assertNotEmitted(files.watch.changed, wait=150):
        pass
    with qtbot.waitSignal(files.watch.changed, timeout=2000):
        other_writes(own)
    assert watching.SETTLE < 2000
    assert files.watch.has_changed()
    with qtbot.assertNotEmitted(files.watch.changed, wait=100):
        files.watch.look_again()  # told once
    files.reload()
    assert document.rig.name.startswith("other ")
    assert not files.watch.has_changed()
    with qtbot.waitSignal(files.watch.changed, timeout=2000):
        other_writes(own, "a second time")


@pytest.mark.parametrize(
    ("answer", "ours"), [(Overwrite.WRITE, True), (Overwrite.CANCEL, False), (Overwrite.ELSEWHERE, False)]
)
def test_saving_over_a_change_from_outside_asks_first(
    files: RigFiles, document: Document, own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    answer: Overwrite, ours: bool,
) -> None:  # fmt: skip
    set_width(document, "rear", 1750.0)
    theirs = other_writes(own)
    monkeypatch.setattr(dialogs, "ask_to_overwrite", lambda *_: answer)
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: tmp_path / "elsewhere.rig.json")
    assert files.save() is (answer is not Overwrite.CANCEL)
    assert (own.read_bytes() == theirs) is not ours
    if ours:
        assert previous_of(own).read_bytes() == theirs
    assert (tmp_path / "elsewhere.rig.json").exists() is (answer is Overwrite.ELSEWHERE)


def test_a_file_that_has_gone_is_told_and_written_again(qtbot: QtBot, files: RigFiles, own: Path) -> None:
    files.watch._timer.setInterval(20)
    with qtbot.waitSignal(files.watch.changed, timeout=2000):
        own.unlink()
    assert files.watch.is_gone
    assert files.save()
    assert own.exists()


def test_a_rig_that_another_window_has_open_opens_as_a_copy(
    files: RigFiles, document: Document, own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = tmp_path / "taken.rig.json"
    write_rig(taken, document.rig)
    (tmp_path / "link.rig.json").symlink_to(taken)
    theirs = Claim.of(taken)
    assert theirs is not None
    asked: list[str] = []
    monkeypatch.setattr(dialogs, "ask_to_open_copy", lambda _, name: bool(asked.append(name)))
    files.open_path(taken)
    assert (asked, document.path) == (["taken.rig.json"], own)
    monkeypatch.setattr(dialogs, "ask_to_open_copy", lambda *_: True)
    files.open_path(tmp_path / "link.rig.json")
    assert document.path is None
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: taken)
    monkeypatch.setattr(dialogs, "offer_elsewhere", lambda *said: bool(asked.append(said[-1])))
    before = taken.read_bytes()
    assert not files.save()
    assert "another window" in asked[-1]
    assert taken.read_bytes() == before
    del theirs
    assert files.save()


def test_a_claim_goes_with_the_rig(files: RigFiles, document: Document, own: Path) -> None:
    assert Claim.of(own) is None
    files.open_demo(document.rig)
    assert Claim.of(own) is not None


def test_a_failed_save_keeps_the_rig_open_unsaved_and_offers_another_place(
    files: RigFiles, document: Document, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    places = iter([tmp_path / "gone" / "own.rig.json", tmp_path / "there.rig.json"])
    told: list[str] = []
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: next(places))
    monkeypatch.setattr(dialogs, "offer_elsewhere", lambda _, *said: told.extend(said) is None)
    set_width(document, "rear", 1750.0)
    assert files.save()
    assert told == [
        "own.rig.json",
        "own.rig.json cannot be written: the folder does not exist; make it or choose another one.",
    ]
    assert (document.path, document.is_modified) == (tmp_path / "there.rig.json", False)


def test_a_file_that_is_refused_is_claimed_by_nobody(
    files: RigFiles, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "broken.rig.json"
    broken.write_bytes(b'{"name": "x", "axles": 3}')
    said: list[object] = []
    monkeypatch.setattr(dialogs, "say", lambda *words: said.append(words))
    for _ in range(3):
        files.open_path(broken)  # asks when another window has it
    assert len(said) == 3
    assert Claim.of(broken) is not None
