from __future__ import annotations

from dataclasses import replace
from math import radians
from pathlib import Path

import pytest
from msgspec.structs import replace as changed
from PySide6.QtCore import SignalInstance

from app.document import Document, within_travel
from app.edits import set_travel, set_width, with_axle
from app.files.assets import demo_rigs
from app.files.rig_file import RigFileError, read_rig
from app.study import Study
from app.units import LengthUnit
from geometry.contact.findings import PairName, TravelMap, WidthCurve
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.layout import PartRef
from geometry.rig.naming import centre_section_part, housing_part, link_part, pinion_part, tire_part
from geometry.rig.rig import Rig
from geometry.rig.stroke import BumpStop

SHORT, LONG = demo_rigs()[:2]
TIRE = PartRef("tire", "rear", "left", "left rear tire")
STOP_AT_40 = (
    BumpStop(
        id="s", chassis=(0.0, 469.9, 600.0), axle=(0.0, 469.9, 500.0), height=90.0, compressed=60.0, mirrored=True
    ),
)
"""Stops of the short rig's rear axle that are solid after 40 mm of bump at the station."""


@pytest.fixture(scope="module")
def rig() -> Rig:
    return read_rig(SHORT)


@pytest.fixture
def document(rig: Rig) -> Document:
    return Document(rig, unit=LengthUnit.FRACTION)


def count(signal: SignalInstance) -> list[object]:
    """A list that grows by one with every emission."""
    heard: list[object] = []
    signal.connect(lambda *given: heard.append(given))
    return heard


def study(document: Document, revision: int | None = None) -> Study:
    return Study(document.revision if revision is None else revision, document.shown_rig, 0.25, ())


# The rig


def test_every_change_of_the_rig_raises_the_revision_and_undo_does_too(document: Document) -> None:
    seen = [document.revision]
    set_width(document, "rear", 1700.0)
    seen.append(document.revision)
    document.undo_stack.undo()
    seen.append(document.revision)
    document.undo_stack.redo()
    seen.append(document.revision)
    assert seen == sorted(set(seen))


def test_a_preview_is_shown_but_not_committed(document: Document, rig: Rig) -> None:
    wider = with_axle(rig, "rear", width=1700.0)
    document.show_preview(wider)
    assert document.is_previewing
    assert (document.shown_rig, document.rig) == (wider, rig)
    assert not document.is_modified
    document.drop_preview()
    assert not document.is_previewing
    assert document.shown_rig is rig


def test_committing_what_is_previewed_keeps_the_revision_and_so_its_answer(document: Document, rig: Rig) -> None:
    wider = with_axle(rig, "rear", width=1700.0)
    document.show_preview(wider)
    heard = count(document.rig_changed)
    answer = study(document)
    document.take_study(answer)
    document.put_rig(wider)
    assert document.study is answer
    assert not heard


# Opening and saving


def test_opening_another_rig_starts_over(document: Document) -> None:
    set_width(document, "rear", 1700.0)
    document.set_pose("rear", TravelPose(10.0, 20.0))
    document.set_active_axle("front")
    document.select(TIRE)
    document.take_study(study(document))
    before = document.revision
    heard = count(document.rig_replaced)
    document.open(LONG)
    assert document.rig == read_rig(LONG)
    assert document.path == LONG
    assert document.pose("rear") == RIDE_HEIGHT
    assert (document.selection, document.last_study, document.active_axle) == (None, None, "rear")
    assert document.undo_stack.count() == 0
    assert document.revision > before
    assert len(heard) == 1


def test_a_file_that_cannot_be_read_leaves_everything_as_it_is(document: Document, tmp_path: Path) -> None:
    broken = tmp_path / "broken.rig.json"
    broken.write_text("{", encoding="utf-8")
    set_width(document, "rear", 1700.0)
    before = (document.rig, document.path, document.revision, document.undo_stack.count())
    with pytest.raises(RigFileError, match="broken"):
        document.open(broken)
    assert (document.rig, document.path, document.revision, document.undo_stack.count()) == before


def test_saving_makes_it_clean_and_undo_makes_it_modified_again(document: Document, tmp_path: Path) -> None:
    set_width(document, "rear", 1700.0)
    assert document.is_modified
    document.save(tmp_path / "mine.rig.json")
    assert not document.is_modified
    assert document.path == tmp_path / "mine.rig.json"
    assert read_rig(tmp_path / "mine.rig.json") == document.rig
    document.undo_stack.undo()
    assert document.is_modified
    document.undo_stack.redo()
    assert not document.is_modified


def test_a_rig_without_a_file_cannot_be_saved_without_a_path(document: Document) -> None:
    with pytest.raises(ValueError, match="give a path"):
        document.save()


def test_a_failed_save_leaves_it_modified(document: Document, tmp_path: Path) -> None:
    set_width(document, "rear", 1700.0)
    with pytest.raises(OSError, match="folder does not exist"):
        document.save(tmp_path / "gone" / "mine.rig.json")
    assert document.is_modified
    assert document.path is None


def test_what_is_saved_is_the_committed_rig_and_not_a_preview(document: Document, tmp_path: Path, rig: Rig) -> None:
    document.show_preview(with_axle(rig, "rear", width=1700.0))
    document.save(tmp_path / "mine.rig.json")
    assert read_rig(tmp_path / "mine.rig.json") == rig


# State of the views


def test_a_pose_is_kept_within_the_travel_even_when_that_shrinks(document: Document) -> None:
    document.set_pose("rear", TravelPose(500.0, -500.0))
    assert document.pose("rear") == TravelPose(152.4, -152.4)
    set_travel(document, "rear", bump=100.0)
    assert document.pose("rear") == TravelPose(100.0, -152.4)
    document.undo_stack.undo()
    assert document.pose("rear") == TravelPose(152.4, -152.4)


def test_a_pose_that_stops_and_straps_do_not_let_go_is_shown_at_their_edge(document: Document, rig: Rig) -> None:
    stopped = with_axle(rig, "rear", bump_stops=STOP_AT_40)
    document.replace_rig(stopped)
    document.set_pose("rear", TravelPose(152.4, 10.0))
    assert document.pose("rear").left == pytest.approx(40.0, abs=1.0)
    assert document.pose("rear").right == pytest.approx(10.0, abs=0.5)
    assert within_travel(document.pose("rear"), stopped.axle("rear")) == document.pose("rear")
    document.replace_rig(rig)
    document.set_pose("rear", TravelPose(152.4, 10.0))
    document.put_rig(stopped)  # the limit comes while it is shown
    assert document.pose("rear").left == pytest.approx(40.0, abs=1.0)


def test_only_a_steered_axle_steers_and_only_to_its_lock(rig: Rig) -> None:
    steered = read_rig(LONG).axle("front")
    assert steered.steering is not None
    lock = radians(steered.steering.lock_left_deg)
    assert within_travel(TravelPose(steer=3.0), steered).steer == pytest.approx(lock)
    assert within_travel(TravelPose(steer=3.0), rig.axle("rear")).steer == 0.0


def test_signals_tell_a_change_and_nothing_else(document: Document) -> None:
    poses, units, selections = (
        count(signal) for signal in (document.pose_changed, document.unit_changed, document.selection_changed)
    )
    for _ in range(2):
        document.set_pose("rear", TravelPose(10.0, 10.0))
        document.set_unit(LengthUnit.MM)
        document.select(TIRE)
    assert poses == [("rear",)]
    assert (len(units), len(selections)) == (1, 1)


def test_several_parts_can_be_chosen_and_the_last_one_is_the_selection(document: Document) -> None:
    node, bar = PartRef("node", "hoop-0", "left", "node hoop-0"), PartRef("bar", "main-hoop", "", "main hoop")
    heard = count(document.selection_changed)
    document.choose([node, bar, node])
    assert document.chosen == (node, bar)
    assert document.selection == bar
    document.toggle(TIRE)
    document.toggle(bar)
    assert document.chosen == (node, TIRE)
    document.choose([TIRE])
    assert (document.chosen, len(heard)) == ((TIRE,), 4)
    document.choose([])
    assert (document.chosen, document.selection) == ((), None)


def test_views_and_selection_are_no_edits(document: Document) -> None:
    document.set_pose("rear", TravelPose(10.0, 10.0))
    document.set_unit(LengthUnit.MM)
    document.select(TIRE)
    document.set_active_axle("front")
    assert not document.is_modified


def front_parts() -> list[PartRef]:
    axle = read_rig(LONG).axle("front")
    carried = [tire_part(axle, "right"), housing_part(axle), centre_section_part(axle), pinion_part(axle)]
    return [*carried, *(link_part(axle, rod) for rod in axle.rods)]


@pytest.mark.parametrize("part", front_parts(), ids=lambda part: part.label)
def test_choosing_any_part_of_an_axle_makes_it_active(part: PartRef) -> None:
    document = Document(read_rig(LONG), unit=LengthUnit.FRACTION)
    document.select(part)
    assert document.active_axle == "front"
    document.set_active_axle("rear")
    document.select(part)
    assert document.active_axle == "front"


def test_a_pair_goes_with_the_axle_that_moves_and_the_chassis_with_none(document: Document, rig: Rig) -> None:
    bar = PartRef("bar", rig.bars[0].id, "left", "bar")
    front = tire_part(rig.axle("front"), "left")
    document.select(PairName("tire_bar", front, bar))
    assert document.active_axle == "front"
    document.select(bar)
    document.select(None)
    assert document.active_axle == "front"


def test_an_axle_that_is_gone_is_not_active(document: Document, rig: Rig) -> None:
    document.set_active_axle("front")
    document.put_rig(changed(rig, axles=rig.axles[:1]))
    assert document.active_axle == rig.axles[0].id
    with pytest.raises(KeyError):
        document.set_active_axle("front")


# Answers


def test_a_stale_answer_is_dropped(document: Document) -> None:
    old = study(document)
    set_width(document, "rear", 1700.0)
    assert not document.take_study(old)
    assert document.last_study is None


def test_an_answer_is_current_only_while_nothing_changed(document: Document) -> None:
    answer = study(document)
    assert document.take_study(answer)
    assert document.study is answer
    set_width(document, "rear", 1700.0)
    assert document.study is None
    assert document.last_study is answer


def test_during_a_drag_answers_follow_and_none_replaces_a_newer_one(document: Document, rig: Rig) -> None:
    answers = []
    for width in (1680.0, 1690.0, 1700.0):
        document.show_preview(with_axle(rig, "rear", width=width))
        answers.append(study(document))
    assert document.take_study(answers[1])
    assert document.last_study is answers[1]
    assert document.study is None
    assert not document.take_study(answers[0])
    assert document.take_study(answers[2])
    assert document.study is answers[2]


def test_an_answer_about_the_rig_before_is_dropped_even_during_a_drag(document: Document) -> None:
    old = study(document)
    document.open(LONG)
    document.show_preview(with_axle(document.rig, "rear", width=1900.0))
    assert not document.take_study(old)


def test_a_width_curve_outlives_changes_of_its_own_width_only(document: Document, rig: Rig) -> None:
    curve = WidthCurve("rear", (), (), complete=True)
    assert document.take_curve(rig, curve)
    set_width(document, "rear", 1700.0)
    assert document.width_curve("rear") is curve
    set_width(document, "front", 1800.0)
    assert document.width_curve("rear") is None
    assert not document.take_curve(rig, curve)


def test_a_travel_map_belongs_to_one_revision(document: Document) -> None:
    found = TravelMap("rear", (), (), ())
    assert document.take_travel_map(document.revision, found)
    assert document.travel_map("rear") is found
    set_width(document, "rear", 1700.0)
    assert document.travel_map("rear") is None
    assert not document.take_travel_map(document.revision - 1, replace(found))
