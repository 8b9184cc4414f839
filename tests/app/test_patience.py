"""A check that takes long can be stopped, says that nothing is established, and can be begun again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from time import sleep
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from app import as_built
from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.notice_bar import NoticeBar
from app.panels.verdict_line import VerdictLine
from app.patience import LONG, STOPPED, Patience
from app.searcher import Searcher
from app.study import StudyCancelledError
from app.units import LengthUnit


class Bench:
    def __init__(self, qtbot: QtBot) -> None:
        self.document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.MM)
        self.searcher = Searcher(self.document)
        self.searcher.idle_ms = 100_000
        self.notice, self.verdict = NoticeBar(), VerdictLine(self.document)
        for widget in (self.notice, self.verdict):
            qtbot.addWidget(widget)
        self.searcher.check_failed.connect(self.verdict.show_problem)
        self.patience = Patience(self.document, self.searcher, self.notice)
        self.patience.timer.setInterval(30)

    def press(self, words: str) -> None:
        next(button for button in self.notice.buttons if button.text() == words).click()


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    yield made
    made.searcher.stop()


def endless(*_: Any, cancelled: Callable[[], bool], **_options: Any) -> None:
    """A check that ends when it is given up, and not before."""
    while not cancelled():
        sleep(0.002)
    raise StudyCancelledError


def test_a_check_without_end_can_be_stopped_and_is_then_not_established(
    qtbot: QtBot, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(as_built, "check", endless)
    set_width(bench.document, "rear", 1700.0)
    qtbot.waitUntil(lambda: bench.notice.words.text() == LONG)
    bench.press("Stop")
    assert bench.verdict.sentence.text().startswith("Not established: stopped")
    assert bench.notice.words.text() == STOPPED
    qtbot.waitUntil(lambda: bench.searcher._running is None)
    assert not bench.searcher.is_checking
    assert bench.document.study is None


def test_a_stopped_check_can_be_begun_again(qtbot: QtBot, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(as_built, "check", endless)
        set_width(bench.document, "rear", 1700.0)
        qtbot.waitUntil(lambda: bench.notice.words.text() == LONG)
        bench.press("Stop")
        qtbot.waitUntil(lambda: bench.searcher._running is None)
    with qtbot.waitSignal(bench.document.study_finished, timeout=20_000):
        bench.press("Check again")
    assert not bench.verdict.sentence.text().startswith("Not established")
    assert bench.notice.isHidden()
