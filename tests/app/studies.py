"""Answers made by hand about the small test rig, so that words and files can be tested without a search."""

from __future__ import annotations

from dataclasses import replace
from math import nan
from typing import Any

from app.study import AxleAnswer, Study
from geometry.contact.findings import (
    Approach,
    Band,
    PairName,
    WidthBound,
    WidthCurve,
    WidthSample,
    WidthWindow,
)
from geometry.motion.travel import TravelPose
from geometry.rig.layout import PartRef
from tests.geometry.rig.rigs import small_rig

TIRE = PartRef("tire", "rear", "left", "left rear tire")
RAIL = PartRef("bar", "rail", "left", "rail, left")
PANEL = PartRef("panel", "side", "right", "side, right")

CONTACT = Approach(
    axle="rear",
    kind="tire_bar",
    moving=TIRE,
    fixed=RAIL,
    wanted=19.05,
    low=-11.0,
    high=-10.8,
    beyond=False,
    settled=True,
    pose=TravelPose(120.0, -150.0),
    on_moving=(1.0, 600.0, 500.0),
    on_fixed=(2.0, 605.0, 500.0),
    start_straight=Band(88.0, 88.3),
    start_crossed=Band(40.0, 57.0),
)
TIGHT = replace(CONTACT, low=9.7, high=9.9, start_straight=None, start_crossed=None)
CLEAR = replace(TIGHT, low=30.0, high=30.2)
HAIR = replace(TIGHT, low=-0.1, high=0.1)
OPEN = replace(TIGHT, low=-3.0, high=25.0, settled=False)
FAR_OFF = replace(CLEAR, fixed=PANEL, low=100.0, high=240.0, beyond=True, on_moving=None, on_fixed=None)


def study_of(*approaches: Approach, problem: str = "", **rig_fields: Any) -> Study:
    """A study in which the rear axle shows these approaches, and the front axle none or a problem."""
    ordered = tuple(sorted(approaches, key=lambda found: found.margin))
    rear = AxleAnswer("rear", 1600.0, 1676.0, 1993.5, ordered, 1e-12, 1e-6)
    front = AxleAnswer("front", 1600.0, 1676.0, 1993.5, (), nan if problem else 0.0, nan if problem else 1e-6, problem)
    return Study(7, small_rig(**rig_fields), 0.25, (rear, front))


PAIR = PairName("tire_bar", TIRE, RAIL)
CURVE = WidthCurve(
    axle="rear",
    samples=(
        WidthSample(1500.0, -50.0, -49.0, -69.05, -68.05, PAIR, PAIR),
        WidthSample(1600.0, -11.0, -10.8, -30.05, -29.85, PAIR, PAIR),
        WidthSample(1700.0, 40.0, 40.2, 20.95, 21.15, None, None),
    ),
    windows=(WidthWindow(low=WidthBound(1660.0, 1659.7, PAIR), high=WidthBound(1700.0, 1700.0, None)),),
    complete=True,
)
