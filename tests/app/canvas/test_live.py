from __future__ import annotations

from msgspec.structs import replace

from app.canvas.live import LiveDrawing
from app.document import Document
from app.edits import change_rig, set_width
from app.files.assets import demo_rigs
from app.study import AxleAnswer, Study
from geometry.contact.findings import PairName
from geometry.motion.travel import TravelPose
from geometry.rig.layout import BarPath
from tests.app.canvas.conftest import MakeApproach


def test_the_drawing_is_made_once_and_anew_only_after_a_change(document: Document) -> None:
    live = LiveDrawing(document)
    first = live.drawing
    assert live.drawing is first
    document.set_pose("rear", TravelPose(50.0, 20.0))
    assert live.drawing is not first


def test_a_width_leaves_the_chassis_alone_and_a_bar_does_not(document: Document) -> None:
    live = LiveDrawing(document)
    chassis = live.drawing.chassis
    set_width(document, "rear", 1800.0)
    assert live.drawing.chassis is chassis
    change_rig(document, replace(document.rig, bars=document.rig.bars[1:]), "Remove a bar")
    assert len(live.drawing.chassis.bars) < len(chassis.bars)


def test_marks_follow_study_selection_and_are_stale_after_a_change(
    document: Document, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    live = LiveDrawing(document)
    contact, far, near = (approach(bar, low) for bar, low in zip(bars, (-3.0, 90.0, 30.0), strict=False))
    answer = AxleAnswer("rear", 1.0, 1.0, 1.0, (contact, near, far), 0.0, 0.0)
    assert not live.drawing.marks
    document.take_study(Study(document.revision, document.shown_rig, 0.25, (answer,)))
    assert [mark.approach for mark in live.drawing.marks] == [contact, near]
    assert live.drawing.marks_current
    document.select(PairName(far.kind, far.moving, far.fixed))
    assert live.drawing.marks[0].approach is far
    set_width(document, "rear", 1800.0)
    assert not live.drawing.marks_current
    document.open(demo_rigs()[1])
    assert not live.drawing.marks
