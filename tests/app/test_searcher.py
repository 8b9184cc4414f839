"""Answers come for what is shown now, the newest first; the rest is searched when nothing changes any more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event, current_thread, main_thread

import pytest
from msgspec.structs import replace
from pytestqt.qtbot import QtBot

from app import study as answers
from app.document import Document
from app.edits import Gesture, set_width, with_axle
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.reach import WIDTH_REACH
from app.searcher import Searcher, curve_range, reaches
from app.study import AxleAnswer, Study, StudyCancelledError
from app.units import LengthUnit
from geometry.contact.compiled import ready
from geometry.contact.findings import PairName, TravelMap, WidthCurve
from geometry.errors import RigError
from geometry.rig.check import least_width
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig
from tests.app.panels.answers import curve_of, map_of


class Desk:
    """Stands in for the answers: hands them out when told to, and notes what was asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, float]] = []
        self.open = Event()
        self.open.set()
        self.problem: Exception | None = None

    def _wait(self, cancelled: Callable[[], bool] | None) -> None:
        assert current_thread() is not main_thread()
        while not self.open.wait(0.002):
            if cancelled is not None and cancelled():
                raise StudyCancelledError

    def check(
        self, rig: Rig, *, revision: int, cancelled: Callable[[], bool] | None = None, **_others: object
    ) -> Study:
        self.asked.append(("check", rig.axle("rear").width))
        self._wait(cancelled)
        if self.problem is not None:
            raise self.problem
        found = tuple(AxleAnswer(a.id, a.width, a.width, a.width, (), 0.0, 0.0) for a in rig.axles)
        return Study(revision, rig, 0.25, found)

    def width_curve(
        self,
        rig: Rig,
        axle_id: str,
        low: float,
        high: float,
        *,
        partial: Callable[[WidthCurve], None],
        cancelled: Callable[[], bool],
    ) -> WidthCurve:
        assert low < high
        self.asked.append((f"curve {axle_id}", low))
        self._wait(cancelled)
        partial(curve_of(rig, axle_id, complete=False))
        return curve_of(rig, axle_id)

    def travel_map(self, rig: Rig, axle_id: str, *, cancelled: Callable[[], bool]) -> TravelMap:
        self.asked.append((f"map {axle_id}", rig.axle("rear").width))
        self._wait(cancelled)
        return map_of(rig, axle_id)


@pytest.fixture
def desk(monkeypatch: pytest.MonkeyPatch) -> Desk:
    desk = Desk()
    for name in ("check", "width_curve", "travel_map"):
        monkeypatch.setattr(answers, name, getattr(desk, name))
    return desk


@pytest.fixture
def document() -> Document:
    return Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION)


@pytest.fixture
def searcher(desk: Desk, document: Document) -> Iterator[Searcher]:
    searcher = Searcher(document)
    searcher.idle_ms = 20
    yield searcher
    desk.open.set()
    searcher.stop()


def kinds(desk: Desk) -> list[str]:
    return [kind for kind, _ in desk.asked]


def test_an_answer_reaches_the_document(qtbot: QtBot, document: Document, searcher: Searcher) -> None:
    searcher.check()
    qtbot.waitUntil(lambda: document.study is not None)
    assert document.study is not None
    assert document.study.rig is document.rig


@pytest.mark.usefixtures("searcher")
def test_a_change_starts_a_check_by_itself(qtbot: QtBot, document: Document) -> None:
    set_width(document, "rear", 1750.0)
    qtbot.waitUntil(lambda: document.study is not None)
    assert document.study is not None
    assert document.study.axles[0].width == document.rig.axles[0].width


def test_only_the_newest_of_many_waiting_changes_is_searched(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    desk.open.clear()
    searcher.check()
    qtbot.waitUntil(lambda: len(desk.asked) == 1)
    for k in range(50):
        set_width(document, "rear", 1700.0 + k)
    desk.open.set()
    qtbot.waitUntil(lambda: document.study is not None)
    assert [width for kind, width in desk.asked if kind == "check"] == [1676.4, 1749.0]


def test_an_old_search_is_ended_and_its_answer_never_seen(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    seen: list[int] = []
    document.study_finished.connect(lambda: seen.append(document.last_study.revision if document.last_study else 0))
    desk.open.clear()
    searcher.check()
    qtbot.waitUntil(lambda: len(desk.asked) == 1)
    set_width(document, "rear", 1750.0)
    qtbot.waitUntil(lambda: len(desk.asked) == 2)  # the first one ended although nobody let it go on
    desk.open.set()
    qtbot.waitUntil(lambda: bool(seen))
    assert seen == [document.revision]


@pytest.mark.usefixtures("searcher")
def test_within_a_drag_a_running_search_may_end_so_that_the_verdict_follows(
    qtbot: QtBot, document: Document, desk: Desk
) -> None:
    gesture = Gesture(document, "Drag")
    desk.open.clear()
    gesture.preview(with_axle(document.rig, "rear", width=1700.0))
    qtbot.waitUntil(lambda: len(desk.asked) == 1)
    for width in (1710.0, 1720.0, 1730.0):
        gesture.preview(with_axle(document.rig, "rear", width=width))
    with qtbot.waitSignal(document.study_finished):
        desk.open.set()
    assert document.last_study is not None
    assert document.last_study.rig.axle("rear").width == 1700.0
    gesture.commit()
    qtbot.waitUntil(lambda: document.study is not None)
    assert [width for kind, width in desk.asked if kind == "check"] == [1700.0, 1730.0]


def previews(document: Document, *widths: float) -> Gesture:
    gesture = Gesture(document, "Change width")
    for width in widths:
        gesture.preview(with_axle(document.rig, "rear", width=width))
    return gesture


def test_in_a_gesture_a_quick_search_answers_before_the_next_painting(
    document: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def quick(rig: Rig, *, revision: int, **_others: object) -> Study:
        asked.append((rig.axle("rear").width, current_thread() is main_thread()))
        return Study(revision, rig, 0.25, ())

    monkeypatch.setattr(answers, "check", quick)
    monkeypatch.setattr(ready, "is_ready", lambda: True)
    searcher = Searcher(document)
    searcher.idle_ms = 600_000  # no curve: it would compile kernels that are not there
    gesture = previews(document, 1700.0, 1710.0)
    searcher.answer_now()
    assert document.study is not None
    assert document.study.rig is document.shown_rig
    assert asked == [(1710.0, True)]
    gesture.cancel()
    assert document.study is None
    searcher.stop()


@pytest.mark.parametrize("ends", [True, False], ids=["ended", "resting"])
def test_what_a_gesture_leaves_out_is_searched_once_it_rests_or_has_ended(
    qtbot: QtBot, document: Document, monkeypatch: pytest.MonkeyPatch, ends: bool
) -> None:
    asked = []
    pair = PairName("tire_bar", PartRef("tire", "rear", "left", ""), PartRef("bar", "rail", "left", ""))

    def quick(rig: Rig, *, revision: int, in_short: object = None, **_others: object) -> Study:
        asked.append((rig.axle("rear").width, in_short))
        short = AxleAnswer("rear", 1.0, 1.0, 1.0, (), 0.0, 0.0, in_short=in_short is not None)
        return Study(revision, rig, 0.25, (short,))

    monkeypatch.setattr(answers, "check", quick)
    monkeypatch.setattr(ready, "is_ready", lambda: True)
    searcher = Searcher(document)
    searcher.idle_ms = 600_000  # no curve: it would compile kernels that are not there
    document.select(pair)
    gesture = previews(document, 1700.0, 1710.0)
    searcher.answer_now()
    assert document.study is not None
    assert document.study.in_short
    if ends:
        gesture.commit()
    qtbot.waitUntil(lambda: document.study is not None and not document.study.in_short)
    assert asked == [(1710.0, (pair,)), (1710.0, None)]
    gesture.cancel()
    searcher.stop()


def test_a_search_too_long_for_a_picture_goes_on_off_the_interface_thread(
    qtbot: QtBot, document: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def slow(rig: Rig, *, revision: int, cancelled: Callable[[], bool], **_others: object) -> Study:
        here = current_thread() is main_thread()
        asked.append(here)
        while here and not cancelled():
            pass
        if here:
            raise StudyCancelledError
        return Study(revision, rig, 0.25, ())

    monkeypatch.setattr(answers, "check", slow)
    monkeypatch.setattr(ready, "is_ready", lambda: True)
    searcher = Searcher(document)
    searcher.idle_ms = 600_000  # no curve: it would compile kernels that are not there
    gesture = previews(document, 1700.0)
    searcher.answer_now()
    assert document.study is None
    qtbot.waitUntil(lambda: document.study is not None)
    gesture.preview(with_axle(document.rig, "rear", width=1710.0))
    searcher.answer_now()
    qtbot.waitUntil(lambda: document.study is not None)
    assert asked == [True, False, False]
    gesture.cancel()
    searcher.stop()


def test_curve_and_map_follow_when_nothing_changes(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    searcher.check()
    qtbot.waitUntil(lambda: document.travel_map("rear") is not None and document.width_curve("front") is not None)
    assert kinds(desk) == ["check", "curve rear", "map rear", "curve front"]


def test_partial_curves_are_shown_first(qtbot: QtBot, document: Document, searcher: Searcher) -> None:
    seen: list[bool] = []

    def note(axle: str) -> None:
        curve = document.width_curve(axle)
        assert curve is not None
        seen.append(curve.complete)

    document.curve_finished.connect(note)
    searcher.check()
    qtbot.waitUntil(lambda: True in seen)
    assert seen[:2] == [False, True]


def test_a_change_of_width_keeps_the_curve_and_renews_the_map(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    searcher.check()
    qtbot.waitUntil(lambda: document.width_curve("front") is not None)
    del desk.asked[:]
    set_width(document, "rear", 1750.0)
    qtbot.waitUntil(lambda: document.travel_map("rear") is not None and "curve front" in kinds(desk))
    assert "curve rear" not in kinds(desk)
    assert desk.asked[:2] == [("check", 1750.0), ("map rear", 1750.0)]


def test_the_curve_of_the_axle_that_is_looked_at_goes_first(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    document.set_active_axle("front")
    searcher.check()
    qtbot.waitUntil(lambda: document.width_curve("rear") is not None)
    assert kinds(desk) == ["check", "curve front", "map front", "curve rear"]


def test_a_refused_rig_is_reported_with_its_revision(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    desk.problem = RigError("axles[0].width", "it is too narrow")
    with qtbot.waitSignal(searcher.check_failed) as failed:
        searcher.check()
    assert failed.args == [document.revision, "axles[0].width: it is too narrow."]
    assert document.study is None


def test_an_unexpected_failure_is_logged_and_the_searcher_goes_on(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk, caplog: pytest.LogCaptureFixture
) -> None:
    desk.problem = ZeroDivisionError("oops")
    with qtbot.waitSignal(searcher.check_failed):
        searcher.check()
    assert "oops" in caplog.text
    desk.problem = None
    set_width(document, "rear", 1750.0)
    qtbot.waitUntil(lambda: document.study is not None)


def test_stopping_ends_a_running_search_at_once(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk
) -> None:
    desk.open.clear()
    searcher.check()
    qtbot.waitUntil(lambda: len(desk.asked) == 1)
    searcher.stop()
    assert not searcher._thread.isRunning()
    set_width(document, "rear", 1750.0)
    qtbot.wait(30)
    assert len(desk.asked) == 1


def test_kernels_are_loaded_on_the_search_thread_once_the_first_answer_is_there(
    qtbot: QtBot, document: Document, searcher: Searcher, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded: list[tuple[Path, bool]] = []

    def prepare(folder: Path) -> str:
        loaded.append((folder, current_thread() is main_thread()))
        return ""

    monkeypatch.setattr(ready, "prepare", prepare)
    searcher.prepare(Path("kernels"))
    assert loaded == []
    searcher.check()
    qtbot.waitUntil(lambda: document.width_curve("front") is not None)
    assert kinds(desk) == ["check", "curve rear", "map rear", "curve front"]
    assert loaded == [(Path("kernels"), False)]


def test_kernels_that_cannot_be_loaded_are_logged_and_the_searcher_goes_on(
    qtbot: QtBot,
    document: Document,
    searcher: Searcher,
    desk: Desk,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    monkeypatch.setattr(ready, "prepare", lambda _: "Numba failed.")
    searcher.prepare(Path("kernels"))
    searcher.check()
    qtbot.waitUntil(lambda: document.width_curve("front") is not None)
    assert kinds(desk) == ["check", "curve rear", "map rear", "curve front"]
    assert "The search stays as it is: Numba failed." in caplog.text


def test_an_undo_step_leaves_the_quiet_time_as_it_is(document: Document, searcher: Searcher) -> None:
    set_width(document, "rear", 1700.0)
    set_width(document, "rear", 1710.0)
    assert searcher.idle_ms == 20


def test_the_range_of_a_curve_stays_while_the_width_lies_in_it(document: Document) -> None:
    curve = curve_of(document.rig)
    axle = document.rig.axle("rear")
    assert curve_range(curve, replace(axle, width=1750.0)) == (curve.samples[0].width, curve.samples[-1].width)
    assert curve_range(None, axle) == (axle.width - WIDTH_REACH, axle.width + WIDTH_REACH)
    assert curve_range(curve, replace(axle, width=2200.0)) == (2200.0 - WIDTH_REACH, 2200.0 + WIDTH_REACH)
    assert least_width(axle) < curve_range(None, replace(axle, width=1100.0))[0] < 1100.0
    assert not reaches(curve, 2200.0)
