from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace as changed
from itertools import pairwise
from math import isnan
from typing import Any

import pytest
from msgspec.structs import replace

from app import study
from app.reach import WIDTH_REACH, usual_widths
from app.study import (
    AxleAnswer,
    Study,
    StudyCancelledError,
    check,
    travel_map,
    width_curve,
    width_sample,
    width_windows,
    with_width,
)
from geometry.contact import axle_check
from geometry.contact.axle_check import check_axle
from geometry.contact.compiled import ready
from geometry.contact.findings import Approach, Verdict, WidthCurve
from geometry.errors import LinkageError, RigError
from geometry.motion.pose_map import PoseMap, pose_map
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, CLOSURE, POSE
from tests.app.studies import CLEAR, CONTACT, HAIR, OPEN, TIGHT, study_of
from tests.geometry.rig.rigs import small_rig


def binding_rig() -> Rig:
    """The rear linkage goes into line within its travel."""
    rig = small_rig()
    rear = rig.axles[0]
    short = tuple(
        replace(rod, chassis=(rod.axle[0] + 150.0, rod.axle[1], rod.axle[2]), joint_room=10.0) for rod in rear.rods[:2]
    )
    return replace(rig, axles=(replace(rear, rods=(*short, *rear.rods[2:])), rig.axles[1]))


def broken_rig() -> Rig:
    rig = small_rig()
    return replace(rig, bars=(replace(rig.bars[0], nodes=("a", "nowhere")),))


def wider(rig: Rig, by: float = 10.0) -> Rig:
    return with_width(rig, "rear", rig.axle("rear").width + by)


@pytest.fixture
def searched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Ids of the axles that are searched while the test runs."""
    axles: list[str] = []

    def noted(rig: Rig, axle: Axle, **options: Any) -> tuple[Approach, ...]:
        axles.append(axle.id)
        return check_axle(rig, axle, **options)

    monkeypatch.setattr(axle_check, "check_axle", noted)
    return axles


def test_every_axle_is_answered_for_with_its_widths_and_pairs() -> None:
    rig = small_rig()
    found = check(rig, revision=12)
    assert (found.revision, found.rig, found.tolerance) == (12, rig, CLEARANCE)
    assert [answer.axle for answer in found.axles] == ["rear", "front"]
    for answer, axle in zip(found.axles, rig.axles, strict=True):
        # Offset −38 puts each tire 38 mm outboard; the tire is 12.5 inches wide.
        assert (answer.width, answer.track) == (1600.0, 1676.0)
        assert answer.outer_width == pytest.approx(1676.0 + 317.5)
        assert answer.approaches == check_axle(rig, axle)
        assert answer.problem == ""
        assert 0.0 <= answer.closure <= CLOSURE
        assert 0.0 < answer.pose_error <= POSE * 10.0


def test_all_pairs_of_all_axles_come_worst_margin_first() -> None:
    found = check(small_rig())
    assert len(found.approaches) == sum(len(answer.approaches) for answer in found.axles)
    assert {each.axle for each in found.approaches} == {"rear", "front"}
    assert all(one.margin <= other.margin for one, other in pairwise(found.approaches))


@pytest.mark.parametrize(
    ("approaches", "problem", "verdict"),
    [
        ((CLEAR,), "", Verdict.CLEAR),
        ((), "", Verdict.CLEAR),
        ((CLEAR, TIGHT), "", Verdict.TIGHT),
        ((TIGHT, CLEAR, OPEN), "", Verdict.UNKNOWN),
        ((CLEAR,), "binds", Verdict.UNKNOWN),
        ((TIGHT,), "binds", Verdict.UNKNOWN),
        ((CONTACT, OPEN, TIGHT), "", Verdict.CONTACT),
        ((HAIR,), "binds", Verdict.CONTACT),
    ],
)
def test_the_verdict_is_the_worst_of_pairs_and_problems(
    approaches: tuple[Approach, ...], problem: str, verdict: Verdict
) -> None:
    assert study_of(*approaches, problem=problem).verdict is verdict


def test_one_axle_may_be_asked_about_alone(searched: list[str]) -> None:
    found = check(small_rig(), only="front")
    assert [answer.axle for answer in found.axles] == searched == ["front"]


def test_what_has_not_changed_is_kept(searched: list[str]) -> None:
    rig = small_rig()
    first = check(rig)
    again = check(rig, revision=2, previous=first)
    assert again.axles == first.axles
    assert again.revision == 2
    assert searched == ["rear", "front"]
    check(wider(rig), previous=first)
    assert searched == ["rear", "front", "rear"]


def test_what_is_kept_is_what_would_be_found() -> None:
    rig = small_rig()
    first = check(rig)
    assert check(wider(rig), previous=first).axles == check(wider(rig)).axles


CHANGES: dict[str, Callable[[Rig], Rig]] = {
    "node": lambda rig: replace(rig, nodes=(replace(rig.nodes[0], at=(801.0, 600.0, 500.0)), *rig.nodes[1:])),
    "bar": lambda rig: replace(rig, bars=rig.bars[:2]),
    "panel": lambda rig: replace(rig, panels=(replace(rig.panels[0], fitted=False),)),
    "wish": lambda rig: replace(rig, wanted=replace(rig.wanted, link_panel=7.0)),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_of_the_chassis_or_of_a_wish_renews_every_axle(change: str, searched: list[str]) -> None:
    rig = small_rig()
    first = check(rig)
    other = CHANGES[change](rig)
    assert check(other, previous=first).rig == other
    assert searched == ["rear", "front"] * 2


def test_a_name_or_a_note_renews_nothing(searched: list[str]) -> None:
    rig = small_rig()
    first = check(rig)
    found = check(replace(rig, name="Other", note="Welded"), previous=first)
    assert found.rig.name == "Other"
    assert found.axles == first.axles
    assert searched == ["rear", "front"]


def test_another_tolerance_renews_everything(searched: list[str]) -> None:
    rig = small_rig()
    found = check(rig, previous=check(rig), tolerance=1.0)
    assert found.tolerance == 1.0
    assert searched == ["rear", "front"] * 2


def test_an_axle_that_was_not_answered_for_is_searched(searched: list[str]) -> None:
    rig = small_rig()
    check(rig, previous=check(rig, only="rear"))
    assert searched == ["rear", "front"]


def test_a_linkage_that_binds_is_a_problem_and_no_exception() -> None:
    found = check(binding_rig())
    rear, front = found.axles
    assert rear.problem.startswith("axle rear")
    assert rear.approaches == ()
    assert isnan(rear.closure)
    assert isnan(rear.pose_error)
    assert rear.outer_width == pytest.approx(1993.5)
    assert front.problem == ""
    assert front.approaches
    clear = AxleAnswer("front", 1600.0, 1676.0, 1993.5, (), 0.0, 0.0)
    assert Study(0, found.rig, CLEARANCE, (rear, clear)).verdict is Verdict.UNKNOWN


def test_a_travel_that_cannot_be_proved_is_a_problem(monkeypatch: pytest.MonkeyPatch, searched: list[str]) -> None:
    def unproved(linkage: Any) -> PoseMap:
        return changed(pose_map(linkage), position_error=float("inf"))

    monkeypatch.setattr(study, "pose_map", unproved)
    found = check(small_rig())
    assert searched == []
    for answer in found.axles:
        assert answer.axle in answer.problem
        assert answer.approaches == ()
        assert isnan(answer.pose_error)
    assert found.verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    "asked",
    [
        check,
        lambda rig: width_curve(rig, "rear", 1500.0, 1700.0),
        lambda rig: width_sample(rig, "rear", 1600.0),
        lambda rig: width_windows(rig, "rear", ()),
        lambda rig: travel_map(rig, "rear", 3),
    ],
)
def test_a_rig_that_cannot_be_used_is_refused_with_its_place(asked: Callable[[Rig], object]) -> None:
    with pytest.raises(RigError) as refused:
        asked(broken_rig())
    assert refused.value.place == "bars[0].nodes[1]"


@pytest.mark.parametrize(
    "asked",
    [
        lambda rig: width_curve(rig, "rear", 1500.0, 1700.0),
        lambda rig: width_sample(rig, "rear", 1600.0),
        lambda rig: travel_map(rig, "rear", 3),
    ],
)
def test_curves_and_maps_of_an_axle_that_binds_say_where(asked: Callable[[Rig], object]) -> None:
    with pytest.raises(LinkageError) as refused:
        asked(binding_rig())
    assert refused.value.axle == "rear"
    assert max(abs(refused.value.left), abs(refused.value.right)) > 0.0


def test_the_other_axle_of_such_a_rig_is_answered_for() -> None:
    assert travel_map(binding_rig(), "front", 3).axle == "front"


def test_an_unknown_axle_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        travel_map(small_rig(), "middle", 3)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: check(small_rig(), cancelled=lambda: True),
        lambda: width_curve(small_rig(), "rear", 1500.0, 1700.0, cancelled=lambda: True),
        lambda: travel_map(small_rig(), "rear", 5, cancelled=lambda: True),
    ],
)
def test_work_that_is_cancelled_has_no_answer(asked: Callable[[], object]) -> None:
    with pytest.raises(StudyCancelledError):
        asked()


def test_windows_that_are_cancelled_have_no_answer() -> None:
    rig = replace(small_rig(), bars=(), panels=())
    samples = [width_sample(rig, "rear", width) for width in (1590.0, 1600.0)]
    assert max(sample.margin_low for sample in samples) >= 0.0
    with pytest.raises(StudyCancelledError):
        width_windows(rig, "rear", samples, cancelled=lambda: True)


def test_progress_runs_from_nought_to_one() -> None:
    told: list[float] = []
    check(small_rig(), progress=told.append)
    assert told == [0.0, 0.5, 1.0]


def test_the_curve_is_told_in_parts_and_ends_complete() -> None:
    told: list[WidthCurve] = []
    rig = replace(small_rig(), bars=(), panels=())
    curve = width_curve(rig, "rear", 1590.0, 1610.0, partial=told.append)
    assert told[-1] == curve
    assert curve.complete
    assert not told[0].complete
    assert (curve.samples[0].width, curve.samples[-1].width) == (1590.0, 1610.0)


def test_windows_of_samples_are_those_of_the_curve() -> None:
    rig = replace(small_rig(), bars=(), panels=())
    curve = width_curve(rig, "rear", 1590.0, 1610.0)
    samples = [width_sample(rig, "rear", width) for width in (1590.0, 1600.0, 1610.0)]
    assert width_windows(rig, "rear", samples) == curve.windows
    assert [(window.low.width, window.high.width) for window in curve.windows] == [(1590.0, 1610.0)]


def test_a_width_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(RigError) as refused:
        width_sample(small_rig(), "rear", 200.0)
    assert refused.value.place.startswith("axles[0]")


def test_the_map_has_as_many_travels_as_asked_for() -> None:
    found = travel_map(small_rig(), "front", 4)
    assert (len(found.left), len(found.margin), len(found.margin[0])) == (4, 4, 4)
    assert (found.left[0], found.left[-1]) == (-150.0, 120.0)


def test_another_width_is_another_rig_with_all_else_the_same() -> None:
    rig = small_rig()
    found = with_width(rig, "front", 1650.0)
    assert [axle.width for axle in found.axles] == [1600.0, 1650.0]
    assert with_width(found, "front", 1600.0) == rig


@pytest.mark.parametrize("width", [1010.0, 1100.0, 1600.0])
def test_usual_widths_hold_the_drawn_one_and_can_all_be_looked_at(width: float) -> None:
    axle = replace(small_rig().axles[0], width=width)
    low, high = usual_widths(axle)
    assert low < width < high == width + WIDTH_REACH
    assert low >= width - WIDTH_REACH
    rig = small_rig()
    check_at = with_width(replace(rig, axles=(axle, rig.axles[1])), "rear", low)
    assert check_at.axles[0].width == low
    study.check_rig(check_at)


def test_an_answer_in_short_is_never_kept_where_the_whole_is_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = small_rig()
    known = {axle.id: check_axle(rig, axle) for axle in rig.axles}
    monkeypatch.setattr(axle_check, "check_axle", lambda _rig, axle, **_options: known[axle.id])
    monkeypatch.setattr(axle_check, "check_axle_in_short", lambda _rig, axle, *_asked, **_options: known[axle.id][:1])
    monkeypatch.setattr(ready, "is_ready", lambda: True)
    first = check(rig)
    quick = check(wider(rig), previous=first, in_short=())
    assert (first.in_short, quick.in_short) == (False, True)
    assert [len(answer.approaches) for answer in quick.axles] == [1, len(known["front"])]
    again = check(wider(rig), previous=quick, in_short=())
    assert again.axles[0] is quick.axles[0]
    whole = check(wider(rig), previous=quick)
    assert not whole.in_short
    assert whole.axles[0].approaches == known["rear"]


def test_where_no_kernels_are_ready_nothing_is_left_out() -> None:
    rig = small_rig()
    assert check(rig, in_short=()) == check(rig)
