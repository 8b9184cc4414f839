from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace

from app.document import Document
from app.edits import (
    NO_RUN,
    Gesture,
    axle_words,
    change_rig,
    confirm,
    set_lock,
    set_tire,
    set_travel,
    set_wanted,
    set_wheel,
    set_width,
    with_axle,
)
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.units import LengthUnit
from geometry.errors import RigError
from geometry.rig.rig import Rig
from geometry.rig.wheel import Tire, Wheel

EDITS: list[tuple[str, Callable[[Document], None]]] = [
    ("Change rear axle width", lambda d: set_width(d, "rear", 1800.0)),
    ("Change rear axle tire", lambda d: set_tire(d, "rear", Tire(size="35x12.50R17"))),
    ("Change front axle wheel", lambda d: set_wheel(d, "front", Wheel(rim_width=228.6, offset=-20.0))),
    ("Change rear axle travel", lambda d: set_travel(d, "rear", bump=100.0, droop=90.0)),
    ("Change rear axle travel", lambda d: set_travel(d, "rear", stop_station=400.0)),
    ("Change front axle steering lock", lambda d: set_lock(d, "front", left_deg=30.0, right_deg=31.0)),
    ("Change wanted clearance", lambda d: set_wanted(d, tire_bar=25.4)),
]


@pytest.fixture(scope="module")
def rig() -> Rig:
    return read_rig(demo_rigs()[1])


@pytest.fixture
def document(rig: Rig) -> Document:
    return Document(rig, unit=LengthUnit.FRACTION)


@pytest.mark.parametrize(("text", "edit"), EDITS)
def test_each_edit_is_one_step_that_undo_takes_back_to_the_last_digit(
    document: Document, rig: Rig, text: str, edit: Callable[[Document], None]
) -> None:
    edit(document)
    after = document.rig
    assert after != rig
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == text
    document.undo_stack.undo()
    assert document.rig == rig
    document.undo_stack.redo()
    assert document.rig == after


@pytest.mark.parametrize(("text", "edit"), EDITS)
def test_doing_the_same_again_is_no_step(document: Document, text: str, edit: Callable[[Document], None]) -> None:
    edit(document)
    edit(document)
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == text


@pytest.mark.parametrize(
    ("place", "edit"),
    [
        ("width", lambda d: set_width(d, "rear", -5.0)),
        ("tire", lambda d: set_tire(d, "rear", Tire(size="large"))),
        ("wheel", lambda d: set_wheel(d, "rear", Wheel(rim_width=228.6))),
        ("bump", lambda d: set_travel(d, "rear", bump=-1.0)),
        ("tire_bar", lambda d: set_wanted(d, tire_bar=-1.0)),
        ("lock", lambda d: set_lock(d, "front", left_deg=95.0, right_deg=30.0)),
    ],
)
def test_an_edit_that_the_rig_cannot_take_says_where_and_changes_nothing(
    document: Document, rig: Rig, place: str, edit: Callable[[Document], None]
) -> None:
    before = document.revision
    with pytest.raises(RigError) as refused:
        edit(document)
    assert place in refused.value.place
    assert document.rig == rig
    assert (document.revision, document.undo_stack.count()) == (before, 0)


def test_an_axle_that_is_not_steered_has_no_lock(document: Document) -> None:
    with pytest.raises(ValueError, match="not steered"):
        set_lock(document, "rear", left_deg=30.0, right_deg=30.0)


def test_an_unknown_axle_is_no_axle(rig: Rig) -> None:
    with pytest.raises(KeyError):
        with_axle(rig, "middle", width=1.0)


def test_a_changed_rig_shares_what_did_not_change(rig: Rig) -> None:
    wider = with_axle(rig, "rear", width=1800.0)
    assert wider.nodes is rig.nodes
    assert wider.axle("front") is rig.axle("front")


def test_axle_names_stand_inside_a_sentence(rig: Rig) -> None:
    names = {"Rear axle": "rear axle", "GP44 rear": "GP44 rear", "": "rear"}
    for name, words in names.items():
        assert axle_words(with_axle(rig, "rear", name=name).axle("rear")) == words


# Gestures


def test_a_gesture_of_many_previews_is_one_step(document: Document, rig: Rig) -> None:
    gesture = Gesture(document, "Change rear axle width")
    for width in range(1800, 1900):
        gesture.preview(with_axle(rig, "rear", width=float(width)))
    assert document.shown_rig.axle("rear").width == 1899.0
    gesture.commit()
    assert document.rig.axle("rear").width == 1899.0
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.rig == rig


def test_a_gesture_that_comes_back_is_no_step(document: Document, rig: Rig) -> None:
    gesture = Gesture(document, "Change rear axle width")
    gesture.preview(with_axle(rig, "rear", width=1800.0))
    gesture.preview(with_axle(rig, "rear", width=rig.axle("rear").width))
    gesture.commit()
    assert document.undo_stack.count() == 0
    assert not document.is_previewing


def test_a_cancelled_gesture_leaves_no_trace(document: Document, rig: Rig) -> None:
    gesture = Gesture(document, "Change rear axle width")
    gesture.preview(with_axle(rig, "rear", width=1800.0))
    gesture.cancel()
    gesture.commit()
    assert document.shown_rig is rig
    assert document.undo_stack.count() == 0


def test_a_preview_that_the_rig_cannot_take_keeps_the_last_good_one(document: Document, rig: Rig) -> None:
    gesture = Gesture(document, "Change rear axle width")
    gesture.preview(with_axle(rig, "rear", width=1800.0))
    with pytest.raises(RigError):
        gesture.preview(with_axle(rig, "rear", width=-1.0))
    gesture.commit()
    assert document.rig.axle("rear").width == 1800.0


def test_undo_in_the_middle_of_a_gesture_ends_it(document: Document, rig: Rig) -> None:
    set_width(document, "rear", 1850.0)
    gesture = Gesture(document, "Change rear axle width")
    gesture.preview(with_axle(document.rig, "rear", width=1900.0))
    document.undo_stack.undo()
    assert not gesture.active
    gesture.preview(with_axle(rig, "rear", width=1910.0))
    gesture.commit()
    assert document.shown_rig is document.rig
    assert document.rig == rig
    assert document.undo_stack.canRedo()


def test_a_second_gesture_does_not_mix_with_the_first(document: Document, rig: Rig) -> None:
    first, second = Gesture(document, "one"), Gesture(document, "two")
    first.preview(with_axle(rig, "rear", width=1800.0))
    second.preview(with_axle(rig, "rear", width=1900.0))
    assert not second.active
    first.commit()
    second.commit()
    assert document.rig.axle("rear").width == 1800.0
    assert document.undo_stack.count() == 1


def test_a_change_to_the_same_rig_is_no_step(document: Document, rig: Rig) -> None:
    change_rig(document, with_axle(rig, "rear", width=rig.axle("rear").width), "Nothing")
    assert document.undo_stack.count() == 0


def test_steps_of_a_run_are_one_and_other_steps_stay_apart(document: Document, rig: Rig) -> None:
    for width, run in ((1700.0, 1), (1710.0, 1), (1720.0, 2), (1730.0, NO_RUN), (1740.0, NO_RUN)):
        gesture = Gesture(document, "widen")
        gesture.preview(with_axle(gesture.base, "rear", width=width))
        gesture.commit(run)
    assert document.undo_stack.count() == 4
    widths = []
    while document.undo_stack.canUndo():
        document.undo_stack.undo()
        widths.append(document.rig.axle("rear").width)
    assert widths == [1730.0, 1720.0, 1710.0, rig.axle("rear").width]


def test_a_run_that_comes_back_is_no_step(document: Document, rig: Rig) -> None:
    for width in (1700.0, rig.axle("rear").width):
        gesture = Gesture(document, "widen")
        gesture.preview(with_axle(gesture.base, "rear", width=width))
        gesture.commit(run=1)
    assert document.undo_stack.count() == 0
    assert document.rig == rig


# Unconfirmed values


def test_an_edit_confirms_what_it_changes_and_undo_brings_the_mark_back(document: Document, rig: Rig) -> None:
    document.replace_rig(replace(rig, unconfirmed=("axles/rear/width", "axles/rear/bump")))
    set_width(document, "rear", 1800.0)
    assert document.rig.unconfirmed == ("axles/rear/bump",)
    document.undo_stack.undo()
    assert document.rig.unconfirmed == ("axles/rear/width", "axles/rear/bump")


def test_a_drag_confirms_what_it_moves_unless_it_comes_back(document: Document, rig: Rig) -> None:
    document.replace_rig(replace(rig, unconfirmed=("axles/rear/width", "axles/rear/bump")))
    start = document.rig
    gesture = Gesture(document, "Drag")
    gesture.preview(with_axle(start, "rear", width=1800.0))
    assert document.shown_rig.unconfirmed == ("axles/rear/bump",)
    gesture.preview(start)
    gesture.commit()
    assert document.rig == start
    assert document.undo_stack.count() == 0


def test_confirming_is_one_step_and_none_where_nothing_is_open(document: Document, rig: Rig) -> None:
    document.replace_rig(replace(rig, unconfirmed=("axles/rear/width", "axles/rear/bump")))
    confirm(document, ["axles/rear/bump"], "Confirm bump")
    confirm(document, ["axles/rear/bump"], "Confirm bump")
    assert document.rig.unconfirmed == ("axles/rear/width",)
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == "Confirm bump"
