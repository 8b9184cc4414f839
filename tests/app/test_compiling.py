"""Another process compiles; what it says is passed on, and nothing happens without a compiler."""

from __future__ import annotations

import logging
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QProcess
from pytestqt.qtbot import QtBot

from app import compiling
from app.compiling import Compiling


@pytest.fixture
def attempt(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Compiling]:  # noqa: ARG001  (Qt must run)
    monkeypatch.setattr(compiling, "find_spec", lambda _: object())
    attempt = Compiling()
    yield attempt
    attempt.stop()


def test_success_is_told_with_the_folder(qtbot: QtBot, attempt: Compiling, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiling, "COMPILER", "this")  # a module that runs and ends well
    with qtbot.waitSignal(attempt.done) as told:
        attempt.start()
    assert told.args == [attempt._folder]


def test_it_starts_once(qtbot: QtBot, attempt: Compiling, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiling, "COMPILER", "this")
    with qtbot.waitSignal(attempt.done):
        attempt.start()
    attempt.start()
    assert attempt._process.state() == QProcess.ProcessState.NotRunning


def test_failure_is_logged(
    qtbot: QtBot, attempt: Compiling, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(compiling, "COMPILER", "no.such.module")
    with qtbot.assertNotEmitted(attempt.done), qtbot.waitSignal(attempt._process.finished):
        attempt.start()
    assert "The search stays as it is" in caplog.text
    assert "No module named" in caplog.text


def test_without_a_compiler_nothing_is_started(
    attempt: Compiling, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(compiling, "find_spec", lambda _: None)
    with caplog.at_level(logging.INFO):
        attempt.start()
    assert attempt._process.state() == QProcess.ProcessState.NotRunning
    assert "Numba is not installed" in caplog.text


def test_stopping_ends_the_other_process_without_a_word(
    attempt: Compiling, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(compiling, "COMPILER", "http.server")  # does not end by itself
    attempt._folder = "0"  # any free port
    attempt.start()
    assert attempt._process.waitForStarted()
    attempt.stop()
    assert attempt._process.state() == QProcess.ProcessState.NotRunning
    assert caplog.text == ""
