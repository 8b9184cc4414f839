from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from app import display
from app.display import why_no_window

VARIABLES = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM", "XDG_RUNTIME_DIR")


@pytest.fixture(autouse=True)
def bare_linux(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in VARIABLES:
        monkeypatch.delenv(name, raising=False)


def test_without_any_display_there_is_no_window() -> None:
    assert why_no_window() == "this machine has no display"


def test_a_platform_that_was_asked_for_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert why_no_window() == ""


def test_a_display_that_nobody_serves_is_no_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DISPLAY", ":9731")
    reason = why_no_window()
    assert reason == "the display :9731 cannot be reached" or "a library for X11 is missing" in reason


def test_a_missing_library_for_the_display_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert display._no_x11(tmp_path).startswith("a library for X11 is missing (")
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(display, "_no_x11", lambda _: "told so")
    assert why_no_window() == "told so"


def test_a_wayland_display_counts_when_its_socket_is_there(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    monkeypatch.setenv("WAYLAND_DISPLAY", "wayland-7")
    assert why_no_window() == "this machine has no display"
    (tmp_path / "wayland-7").touch()
    assert why_no_window() == ""


def test_without_qt_the_remedy_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "PySide6", None)
    assert "pip install wheelroom[window]" in why_no_window()


def test_a_qt_that_cannot_be_loaded_is_no_crash(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    monkeypatch.setitem(sys.modules, "PySide6.QtWidgets", None)
    assert why_no_window().startswith("Qt cannot be loaded (")


@pytest.mark.skipif(os.name == "nt", reason="says how it is on Linux")
def test_other_systems_always_have_a_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert why_no_window() == ""
