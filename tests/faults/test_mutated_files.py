"""Broken and hostile files come in or are refused in a sentence, soon, in little memory, and change nothing else."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from itertools import islice
from pathlib import Path
from random import Random

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app import dialogs
from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.files.rig_file import RigFileError, read_rig, rig_from_bytes
from app.importing import run
from app.keeping.rig_files import RigFiles
from app.units import LengthUnit
from tests.faults import mutants

MUTANTS = int(os.environ.get("WHEELROOM_MUTANTS", "0"))
"""So many rig files, and a tenth as many tables and drawings; 0 = a few hundred altogether."""
COUNTS = {kind: MUTANTS // (1 if kind == "rig" else 10) for kind in mutants.KINDS} if MUTANTS else {}
FEW = {"rig": 500, "csv": 150, "dxf": 40}
MOST_MEMORY = 300.0
"""Memory that a process may have that does nothing but load files [MB]."""


@pytest.mark.parametrize("kind", mutants.KINDS)
def test_mutated_files_load_or_are_refused_within_a_second_and_in_little_memory(kind: str, tmp_path: Path) -> None:
    count = COUNTS.get(kind, FEW[kind])
    command = [sys.executable, "-m", "tests.faults.mutants", kind, str(count), "9"]
    root = str(Path(__file__).parents[2])
    # Python leaves no compiled files behind, which would count as files that are written.
    own = {"PYTHONPATH": root, "PYTHONDONTWRITEBYTECODE": "1", "XDG_CACHE_HOME": str(tmp_path)}
    done = subprocess.run(command, env=os.environ | own, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["faults"] == []
    assert told["loaded"] + told["refused"] == count
    assert min(told["loaded"], told["refused"]) > count // 20  # neither all sound nor all hopeless
    assert told["checked"] > 0
    assert told["peak"] < MOST_MEMORY


def test_a_file_that_is_refused_leaves_the_open_rig_and_its_history_alone(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.MM)
    files = RigFiles(window, document, QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
    said: list[str] = []
    monkeypatch.setattr(dialogs, "say", lambda *_: said.append("refused"))
    monkeypatch.setattr(dialogs, "ask_to_save", lambda *_: dialogs.Answer.DISCARD)
    monkeypatch.setattr(run, "ImportPreview", NoPreview)
    set_width(document, "rear", 1750.0)
    for kind, ending in (("rig", ".rig.json"), ("csv", ".csv"), ("dxf", ".dxf")):
        path = tmp_path / f"mutant{ending}"
        for data, _ in islice(mutants.KINDS[kind](Random(4)), 60 if kind == "rig" else 20):  # noqa: S311
            path.write_bytes(data)
            before = state(document)
            told = len(said)
            if kind == "rig":
                files.open_path(path)
            else:
                monkeypatch.setattr(dialogs, "ask_open", lambda *_, path=path: path)
                run.import_file(window, document, tmp_path)
            if kind != "rig" or len(said) > told:
                assert state(document) == before
            else:
                assert repr(document.rig) == repr(rig_from_bytes(data, "again"))
                set_width(document, document.rig.axles[0].id, document.rig.axles[0].width + 1.0)
    assert len(said) > 50


class NoPreview(QWidget):
    """In the place of the preview, which waits for the builder: looks at what would come in."""

    def __init__(self, document: Document, source: mutants.Tables | mutants.Drawn, parent: QWidget) -> None:
        super().__init__(parent)
        self._rig, self._source = document.rig, source

    def exec(self) -> None:
        try:
            mutants.outcome(self._rig, self._source, instead=True)
        except ValueError as refused:
            assert str(refused).isprintable()  # noqa: PT017


def state(document: Document) -> tuple[object, ...]:
    stack = document.undo_stack
    return document.rig, document.path, document.revision, stack.count(), stack.index(), document.is_modified


def test_a_file_that_changes_while_it_is_read_gives_one_of_its_versions_or_is_refused(tmp_path: Path) -> None:
    path, texts = tmp_path / "own.rig.json", [path.read_bytes() for path in demo_rigs()[:2]]
    known = [rig_from_bytes(text, "known") for text in texts]
    path.write_bytes(texts[0])
    writer = "import sys; from pathlib import Path; own, *others = map(Path, sys.argv[1:])\n"
    writer += "while True:\n    for other in others: own.write_bytes(other.read_bytes())"
    command = [sys.executable, "-c", writer, str(path), *map(str, demo_rigs()[:2])]
    with subprocess.Popen(command) as process:
        try:
            ends = [read_or_refused(path) for _ in range(300)]
        finally:
            process.kill()
    assert all(end is None or end in known for end in ends)
    assert any(end is not None for end in ends)


def read_or_refused(path: Path) -> object:
    try:
        return read_rig(path)
    except RigFileError:
        return None
