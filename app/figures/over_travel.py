"""What all groups share that tell extremes over the travel that shocks, stops and straps leave."""

from __future__ import annotations

from math import degrees
from typing import Final

from app.figures.figure import Figure, Kind
from app.units import LengthUnit, format_angle
from app.wording import pose_words
from geometry.motion.asked import Asked
from geometry.motion.extremes import Extreme
from geometry.motion.linkage import linkage_of
from geometry.motion.travel import TravelBox, TravelPose
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.stroke.spans import spans_of
from geometry.stroke.travel_set import travel_set

PROVED: Final = "No pose of the travel that shocks, stops and straps leave goes beyond it."


def travel_left(axle: Axle) -> tuple[TravelBox, ...] | None:
    """The travel that is left, as boxes; None = all of bump and droop.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.

    """
    left = travel_set(linkage_of(axle), spans_of(axle))
    return None if left.is_whole else left.boxes()


def at_pose(axle: Axle, pose: TravelPose) -> str:
    """A pose as the note of a number."""
    return pose_words(pose, axle, LengthUnit.MM)


def largest(
    axle: Axle, key: str, label: str, found: Extreme, kind: Kind, words: str, *, asked: Asked | None = None
) -> Figure:
    """A greatest value, proved, with its pose and what it is held against; unknown where nothing is established."""
    known = found.high < float("inf")
    verdict = "" if asked is None else _verdict(asked, kind)
    failed = asked is not None and asked.verdict == "fails"
    notes = (at_pose(axle, found.pose) if known else "", "" if failed else verdict)
    return Figure(
        key,
        label,
        Amount(found.high if known else None),
        kind,
        f"{words} {PROVED}",
        note=", ".join(note for note in notes if note),
        warning=verdict if failed else "",
        none="not established",
    )


def smallest(axle: Axle, key: str, label: str, found: Extreme, kind: Kind, words: str) -> Figure:
    """A least value, proved, with its pose."""
    known = found.low > -float("inf")
    return Figure(
        key,
        label,
        Amount(found.low if known else None),
        kind,
        f"{words} {PROVED}",
        note=at_pose(axle, found.pose) if known else "",
        none="not established",
    )


def _verdict(asked: Asked, kind: Kind) -> str:
    if asked.limit is None:
        return "limit unknown"
    limit = format_angle(degrees(asked.limit)) if kind == "angle" else f"{asked.limit:.1f} mm"
    return {"fails": f"more than the {limit} it has", "holds": f"within {limit}", "unknown": f"close to {limit}"}[
        asked.verdict
    ]
