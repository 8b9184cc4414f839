from __future__ import annotations

from dataclasses import astuple

from msgspec.structs import replace

from geometry.plan.doubts import MOST_SHRINK, doubts
from geometry.rig.build import Build, BuildSide, Shaft
from geometry.sketch.notes import NoteKind, find_notes
from tests.geometry.rig.rigs import small_rig


def test_a_unit_that_slipped_is_doubted_where_it_stands_and_usual_values_are_not() -> None:
    rig = small_rig()
    usual = Build(kerf=3.2, left=BuildSide(shrink=MOST_SHRINK, insertion_end=38.0, shaft=Shaft(end_play=2.0)))
    slipped = Build(kerf=3.2, left=BuildSide(shrink=0.8 * 25.4, shaft=Shaft(end_play=25.4)))
    axle = rig.axles[0]
    assert doubts(axle) == doubts(replace(axle, build=usual)) == ()
    root = f"axles/{axle.id}/build/left"
    found = doubts(replace(axle, build=slipped))
    assert [astuple(each) for each in found] == [
        (f"{root}/shrink", 20.32, 6.35),
        (f"{root}/shaft/end_play", 25.4, 12.7),
    ]
    notes = find_notes(replace(rig, axles=(replace(axle, build=slipped), *rig.axles[1:])))
    told = [note.problem for note in notes if note.kind is NoteKind.UNIT]
    assert told[0] == (
        f"the {axle.id} axle's left weld shrinkage is 20.32 mm, and over 6.35 mm is seldom met: is it in the right unit"
    )
    assert len(told) == 2
