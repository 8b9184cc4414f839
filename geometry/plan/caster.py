"""Caster and pinion angle, which the welds tie to each other, over housing turn and travel.

With the pinion facing rearward, as on a front axle, turning the housing so that the pinion rises takes as much off
the caster: caster + pinion angle = separation, which only cutting the welds changes. With the pinion facing forward
both rise together, and caster − pinion angle is what stays. Exact for caster taken in side view, whatever the kingpin
inclination. Caster is positive with the kingpin's top rearward, the pinion angle with the pinion up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, degrees, radians, sin
from typing import Final, Literal

import numpy as np

from geometry.errors import PlanError
from geometry.motion.linkage import Floats, linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.steering import kingpin_axis
from geometry.motion.travel import TravelPose
from geometry.plan.amount import Amount, given
from geometry.plan.half import build_of
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR

Faces = Literal["forward", "rearward"]

CASTER_LOW: Final = radians(3.0)
CASTER_HIGH: Final = radians(5.0)
"""Caster to aim for, at least and at most [rad]. Common practice, no source."""

TIED: Final = radians(0.01)
"""Within what caster, pinion angle and separation must agree when all three are given [rad]: under any angle gauge."""

_DIGITS: Final = 6
"""Decimals to which an angle that works is told [degrees]: far within TIED."""

TRAVEL_POINTS: Final = 33
"""Travels on each side at which angles are looked at: a step of 10 mm at usual travels, over which an angle bends by
some thousandths of a degree."""


@dataclass(frozen=True, slots=True)
class Clocking:
    """Caster, pinion angle and what the welds keep between them [rad]."""

    caster: float
    pinion: float
    separation: float
    faces: Faces


@dataclass(frozen=True, slots=True)
class CasterTarget:
    """A clocking beside the caster that is aimed for [rad].

    Attributes
    ----------
    off_by : float
        Caster above the highest or, negative, below the lowest that is aimed for; 0 = within.
    turn : float
        Least turn of the housing, pinion up positive, that brings the caster within.
    turned : Clocking
        What that gives; the pinion pays for it.
    pinion_low, pinion_high : float
        Pinion angles that go with the caster aimed for, the welds as they are.
    separation_low, separation_high : float
        Separations that would give it with the pinion as it is.

    """

    off_by: float
    turn: float
    turned: Clocking
    pinion_low: float
    pinion_high: float
    separation_low: float
    separation_high: float


@dataclass(frozen=True, slots=True)
class PoseAngles:
    """Angles at a pose, in the chassis' side view [rad]; casters are None on an unsteered axle."""

    pose: TravelPose
    pinion: float
    caster_left: float | None
    caster_right: float | None


@dataclass(frozen=True, slots=True)
class Extremes:
    """The least and the greatest of an angle over a grid of poses, and where [rad]."""

    low: float
    low_at: TravelPose
    high: float
    high_at: TravelPose


@dataclass(frozen=True, slots=True)
class TravelAngles:
    """Pinion angle and casters over the travel, at TRAVEL_POINTS travels on each side, corners included."""

    pinion: Extremes
    caster_left: Extremes | None
    caster_right: Extremes | None


@dataclass(frozen=True, slots=True)
class PerchAngle:
    """How a perch is welded on.

    Attributes
    ----------
    from_pinion : Amount
        Pinion angle less seat angle, both counted with the pinion's end up [rad]: what a gauge shows on the bench.
    seat : Amount
        Seat above the level at ride height, forward end up, if it is left as it is while the housing turns [rad].

    """

    perch: str
    from_pinion: Amount
    seat: Amount


def clocking(
    *,
    caster: float | None = None,
    pinion: float | None = None,
    separation: float | None = None,
    faces: Faces = "rearward",
) -> Clocking:
    """Two of caster, pinion angle and separation [rad] make the third.

    Raises
    ------
    PlanError
        When fewer than two are given, or all three and they do not agree.

    """
    sense = _sense(faces)
    if [caster, pinion, separation].count(None) > 1:
        raise PlanError(
            "separation_deg", "caster, pinion angle and separation follow from two of them, give two", by=0.0
        )
    if separation is None:
        separation = _known(caster) + sense * _known(pinion)
    elif caster is None:
        caster = separation - sense * _known(pinion)
    elif pinion is None:
        pinion = sense * (separation - caster)
    made = Clocking(caster=_known(caster), pinion=_known(pinion), separation=separation, faces=faces)
    _check_tied(made)
    return made


def clocking_of(axle: Axle) -> Clocking | None:
    """The clocking of a steered axle at ride height; None on an unsteered one.

    Raises
    ------
    PlanError
        When the rig also has a separation, and it is another one.

    """
    if axle.steering is None:
        return None
    separation = build_of(axle).separation_deg
    try:
        return clocking(
            caster=radians(axle.steering.caster_deg),
            pinion=radians(axle.housing.pinion_angle_deg),
            separation=None if separation is None else radians(separation),
            faces=axle.housing.pinion_faces,
        )
    except PlanError as refused:
        nearest = tuple((_PLACES[name].format(axle.id), value) for name, value in refused.nearest)
        raise PlanError(
            _PLACES["separation_deg"].format(axle.id), refused.problem, by=refused.by, nearest=nearest
        ) from None


def turned(now: Clocking, turn: float) -> Clocking:
    """The clocking after turning the whole housing, pinion up positive [rad]; the separation stays."""
    caster = now.caster - _sense(now.faces) * turn
    return Clocking(caster=caster, pinion=now.pinion + turn, separation=now.separation, faces=now.faces)


def caster_target(now: Clocking, low: float = CASTER_LOW, high: float = CASTER_HIGH) -> CasterTarget:
    """A clocking beside a caster between `low` and `high` [rad]: how far off, and the two ways to get there."""
    sense = _sense(now.faces)
    off_by = now.caster - min(max(now.caster, low), high)
    turn = sense * off_by
    pinions = sorted(sense * (now.separation - caster) for caster in (low, high))
    return CasterTarget(
        off_by=off_by,
        turn=turn,
        turned=turned(now, turn),
        pinion_low=pinions[0],
        pinion_high=pinions[1],
        separation_low=low + sense * now.pinion,
        separation_high=high + sense * now.pinion,
    )


def angles_at(axle: Axle, poses: Sequence[TravelPose]) -> tuple[PoseAngles, ...]:
    """Pinion angle and casters at poses within the travel, steering left out.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    pinion, casters = _angles(axle, *np.array([(pose.left, pose.right) for pose in poses]).reshape(-1, 2).T)
    left, right = casters or ([None] * len(poses),) * 2
    return tuple(PoseAngles(*row) for row in zip(poses, pinion.tolist(), _plain(left), _plain(right), strict=True))


def travel_angles(axle: Axle) -> TravelAngles:
    """The least and greatest pinion angle and casters over a grid of the whole travel; raises as `angles_at`."""
    travel = np.linspace(-axle.droop, axle.bump, TRAVEL_POINTS)
    left, right = (each.ravel() for each in np.meshgrid(travel, travel, indexing="ij"))
    pinion, casters = _angles(axle, left, right)
    poses = [TravelPose(*pair) for pair in zip(left.tolist(), right.tolist(), strict=True)]
    found = [_extremes(poses, values) for values in casters or ()]
    return TravelAngles(_extremes(poses, pinion), *(found or (None, None)))


def perch_angles(axle: Axle, turn: float = 0.0) -> tuple[PerchAngle, ...]:
    """How the perches of an axle are welded on, with its housing turned from where it is, pinion up positive [rad].

    Perch angle from the pinion = pinion angle − seat angle at ride height.
    """
    sense = -_sense(axle.housing.pinion_faces)
    pinion = Amount(radians(axle.housing.pinion_angle_deg) + turn)
    made = []
    for perch in build_of(axle).perches:
        seat = given(perch.angle_deg, f"axles/{axle.id}/build/perches/{perch.id}/angle_deg").turned_into(radians)
        from_pinion = pinion - seat.turned_into(lambda angle: sense * angle)
        made.append(PerchAngle(perch.id, from_pinion, seat + Amount(sense * turn)))
    return tuple(made)


_PLACES: Final = {
    "separation_deg": "axles/{}/build/separation_deg",
    "caster_deg": "axles/{}/steering/caster_deg",
    "pinion_angle_deg": "axles/{}/housing/pinion_angle_deg",
}


def _sense(faces: Faces) -> float:
    """How the caster falls per pinion angle when the housing turns: +1 with the pinion rearward, −1 forward."""
    return 1.0 if faces == "rearward" else -1.0


def _known(angle: float | None) -> float:
    assert angle is not None  # noqa: S101  (two of three are given, and the third has been made)
    return angle


def _check_tied(made: Clocking) -> None:
    sense = _sense(made.faces)
    by = made.caster + sense * made.pinion - made.separation
    if abs(by) <= TIED:
        return
    values = {
        "separation_deg": made.caster + sense * made.pinion,
        "caster_deg": made.caster - by,
        "pinion_angle_deg": made.pinion - sense * by,
    }
    together = "and" if made.faces == "rearward" else "less"
    raise PlanError(
        "separation_deg",
        f"caster {degrees(made.caster):.2f} degrees {together} pinion angle {degrees(made.pinion):.2f} degrees do not "
        f"give the separation of {degrees(made.separation):.2f} degrees, they are {degrees(abs(by)):.2f} degrees off; "
        f"set the separation to {degrees(values['separation_deg']):.2f} degrees, the caster to "
        f"{degrees(values['caster_deg']):.2f} degrees or the pinion angle to "
        f"{degrees(values['pinion_angle_deg']):.2f} degrees",
        by=degrees(abs(by)),
        nearest=tuple((name, round(degrees(value), _DIGITS)) for name, value in values.items()),
    )


def _angles(axle: Axle, left: Floats, right: Floats) -> tuple[Floats, tuple[Floats, Floats] | None]:
    """Pinion angle, and casters left and right, at travels of shape (n,): each of shape (n,) [rad]."""
    values, _, _ = pose_map(linkage_of(axle)).evaluate(left, right)
    rotation = values[:, 3:].reshape(-1, 3, 3)
    facing = _sense(axle.housing.pinion_faces)
    angle = radians(axle.housing.pinion_angle_deg)
    pinion = rotation @ np.array([-facing * cos(angle), 0.0, sin(angle)])
    pinion_angle: Floats = np.arctan2(pinion[:, 2], -facing * pinion[:, 0])
    if axle.steering is None:
        return pinion_angle, None
    up = kingpin_axis(axle.steering)
    one, other = (rotation @ axis for axis in (up, up * MIRROR))
    return pinion_angle, (np.arctan2(-one[:, 0], one[:, 2]), np.arctan2(-other[:, 0], other[:, 2]))


def _plain(values: Floats | Sequence[None]) -> list[float | None]:
    return values.tolist() if isinstance(values, np.ndarray) else list(values)


def _extremes(poses: Sequence[TravelPose], values: Floats) -> Extremes:
    low, high = int(values.argmin()), int(values.argmax())
    return Extremes(float(values[low]), poses[low], float(values[high]), poses[high])
