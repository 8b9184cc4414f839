"""What the rig weighs: a list of parts and people, and what was read off the scales.

The chassis tubes are weighed from the drawing and stand on no list. A mass that is not given stays unknown, and so does
every sum that it belongs to.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from geometry.errors import RigError
from geometry.rig.parts import Id, Label, Length, Point

Kilograms = Annotated[float, Meta(gt=0.0, le=100_000.0, description="[kg]")]
KilogramsOrZero = Annotated[float, Meta(ge=0.0, le=100_000.0, description="[kg]")]
State = Literal["empty", "loaded"]

LEAST_LIFT: Final = 50.0
"""Smallest lift of an axle for its weighing [mm]: two inches shift a light rig's axle loads by a few kilograms, which
is what scales are good for. Common practice, no source."""


class MassPart(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something that weighs, other than the chassis tubes: an engine, an axle, a driver, fuel.

    Attributes
    ----------
    mass_kg : float or None
        Mass [kg]; of one of them if it is mirrored. None = not weighed yet.
    at : Point or None
        Its centre of gravity at ride height; None = not measured yet.
    aboard : str
        ``always``, or only when the rig is ``loaded``.
    mirrored : bool
        There is another one on the other side of the centre plane.

    """

    id: Id
    name: Label = ""
    mass_kg: Kilograms | None = None
    at: Point | None = None
    aboard: Literal["always", "loaded"] = "always"
    mirrored: bool = False


class Weighing(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What scales under a rig of two axles read: level, and with one axle raised (ISO 10392).

    Attributes
    ----------
    state : str
        Whether what is aboard only when ``loaded`` was aboard; ``empty`` = it was not.
    rear_kg, front_kg : float
        Load on either axle, level [kg].
    rear_left_kg, front_left_kg : float or None
        The share of it on the left tire [kg].
    raised : str or None
        Which axle was then raised.
    lift : float or None
        By how much its centre was raised [mm].
    resting_kg : float or None
        Load on the other axle meanwhile [kg].

    """

    state: State
    rear_kg: Kilograms
    front_kg: Kilograms
    rear_left_kg: KilogramsOrZero | None = None
    front_left_kg: KilogramsOrZero | None = None
    raised: Literal["rear", "front"] | None = None
    lift: Length | None = None
    resting_kg: KilogramsOrZero | None = None


class Masses(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Everything that weighs but the chassis tubes, and the weighing, which counts instead where there is one."""

    parts: Annotated[tuple[MassPart, ...], Meta(max_length=2000)] = ()
    measured: Weighing | None = None


def check_weighing(weighing: Weighing | None, axles: int, place: str) -> None:
    """Refuse readings that no scales give.

    Raises
    ------
    RigError

    """
    if weighing is None:
        return
    if axles != 2:
        raise RigError(place, f"axle loads are told from two axles only, and this rig has {axles}; remove them")
    total = weighing.rear_kg + weighing.front_kg
    for side, whole in (("rear", weighing.rear_kg), ("front", weighing.front_kg)):
        left: float | None = getattr(weighing, f"{side}_left_kg")
        if left is not None and left > whole:
            raise RigError(
                f"{place}.{side}_left_kg",
                f"the left tire carries {left:g} kg and its axle only {whole:g} kg; put one of them right",
            )
    raising = {"raised": weighing.raised, "lift": weighing.lift, "resting_kg": weighing.resting_kg}
    absent = [name for name, value in raising.items() if value is None]
    if 0 < len(absent) < len(raising):
        raise RigError(
            f"{place}.{absent[0]}",
            "raised, lift and resting_kg tell the height together; give all three or none of them",
        )
    if weighing.lift is not None and weighing.lift < LEAST_LIFT:
        raise RigError(
            f"{place}.lift",
            f"a lift of {weighing.lift:g} mm is too little to tell a height from, the least is {LEAST_LIFT:g} mm",
        )
    if weighing.resting_kg is not None and weighing.resting_kg > total:
        raise RigError(
            f"{place}.resting_kg",
            f"the axle on the ground carries {weighing.resting_kg:g} kg, more than the {total:g} kg of both axles; "
            "read the scales again",
        )
