"""Answers made up in no time, so that panels are tested without a search."""

from __future__ import annotations

from app.document import Document
from app.study import AxleAnswer, Study
from geometry.contact.findings import (
    Approach,
    Band,
    PairName,
    TravelMap,
    WidthBound,
    WidthCurve,
    WidthSample,
    WidthWindow,
)
from geometry.motion.travel import TravelPose
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH

TIRE = PartRef("tire", "rear", "left", "left rear tire")
RAIL = PartRef("bar", "rail", "left", "rub rail, left")
HOOP = PartRef("bar", "hoop", "left", "hoop, left")


def approach(clearance: float, fixed: PartRef = RAIL, *, axle: str = "rear", beyond: bool = False) -> Approach:
    """A closest approach at left bump 100, right 50 [mm]."""
    touching = clearance < 0.0
    return Approach(
        axle=axle,
        kind="tire_bar",
        moving=TIRE,
        fixed=fixed,
        wanted=19.05,
        low=clearance,
        high=clearance + 0.2,
        beyond=beyond,
        settled=True,
        pose=TravelPose(100.0, 50.0, 0.0),
        on_moving=(0.0, 800.0, 500.0),
        on_fixed=(0.0, 800.0 + clearance, 500.0),
        start_straight=Band(80.0, 82.0) if touching else None,
    )


def study_of(document: Document, *found: Approach, problem: str = "") -> Study:
    """An answer for what the document shows now."""
    rig = document.shown_rig
    answers = tuple(
        AxleAnswer(
            axle.id,
            axle.width,
            axle.width,
            axle.width + 300.0,
            tuple(sorted((a for a in found if a.axle == axle.id), key=lambda a: a.margin)),
            1e-12,
            1e-4,
            problem,
        )
        for axle in rig.axles
    )
    return Study(document.revision, rig, 0.25, answers)


def curve_of(rig: Rig, axle: str = "rear", *, complete: bool = True) -> WidthCurve:
    """Clearance rising by half of each millimetre of width: touching below 68 in, clear from 69 1/2 in on."""
    wanted, zero = 19.05, 68.0 * INCH
    samples = tuple(
        WidthSample(width, gap, gap + 0.2, gap - wanted, gap + 0.2 - wanted, *2 * (PairName("tire_bar", TIRE, RAIL),))
        for width in (56.0 * INCH, 62.0 * INCH, zero, zero + 2.0 * wanted, 76.0 * INCH)
        for gap in ((width - zero) / 2.0,)
    )
    low = WidthBound(zero + 2.0 * wanted, zero + 2.0 * wanted - 0.5, PairName("tire_bar", TIRE, RAIL))
    high = WidthBound(76.0 * INCH, 76.0 * INCH, None)
    assert rig.axle(axle).id == axle
    return WidthCurve(axle, samples, (WidthWindow(low, high),), complete)


def map_of(rig: Rig, axle: str = "rear", count: int = 5) -> TravelMap:
    """Margin falling from +20 mm at full droop to -20 mm at full stuff."""
    low, high = -rig.axle(axle).droop, rig.axle(axle).bump
    travels = tuple(low + (high - low) * k / (count - 1) for k in range(count))
    margin = tuple(tuple(20.0 - 20.0 * (r + c) / (count - 1) for c in range(count)) for r in range(count))
    return TravelMap(axle, travels, travels, margin)
