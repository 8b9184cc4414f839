"""What limits an axle's travel: shocks, bump stops and limit straps, and whether each of them fits at ride height."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, dist, floor
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from geometry.errors import RigError
from geometry.rig.parts import Id, Label, Length, LengthOrZero, Point
from geometry.tolerances import COINCIDENT

MOST_EACH: Final = 16
"""Shocks, stops or straps that an axle can have on its list [-]: four of a kind are many."""

STEP: Final = 0.1
"""Step to which a nearest value is told [mm], to the side on which it works."""


class Shock(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A shock or coil-over from chassis to axle; lengths from the centre of one eye to that of the other.

    Attributes
    ----------
    chassis, axle : Point
        Centres of its eyes at ride height, both in the rig's frame [mm].
    collapsed, extended : float
        Shortest and longest length [mm].
    body_od, shaft_od : float
        Outside diameters [mm].
    body_at : str
        The end that carries the body, ``chassis`` (usual) or ``axle``.
    spring_od : float or None
        Outside diameter of the spring round it [mm]; None = no coil-over.
    joint_room : float
        Length at each end taken up by eye and bracket, which the check leaves out [mm]. Common practice, no source.
    mirrored : bool
        There is another one on the other side.

    """

    id: Id
    name: Label = ""
    chassis: Point
    axle: Point
    collapsed: Length
    extended: Length
    body_od: Length = 63.5
    shaft_od: Length = 22.2
    body_at: Literal["chassis", "axle"] = "chassis"
    spring_od: Length | None = None
    joint_room: LengthOrZero = 50.0
    mirrored: bool = False


class BumpStop(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A bump stop: what is left between its seat on the chassis and its pad on the axle is measured along its axis.

    The axis runs from the seat to the pad at ride height and stays with the chassis.

    Attributes
    ----------
    chassis, axle : Point
        Middle of the seat and of the pad at ride height, both in the rig's frame [mm].
    height : float
        Of the stop when nothing presses it: less than this between seat and pad, and it is touched [mm].
    compressed : float
        Of the stop when it gives no more [mm].
    mirrored : bool
        There is another one on the other side.

    """

    id: Id
    name: Label = ""
    chassis: Point
    axle: Point
    height: Length
    compressed: Length
    mirrored: bool = False


class Strap(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A limit strap from chassis to axle.

    Attributes
    ----------
    chassis, axle : Point
        Its two ends at ride height, both in the rig's frame [mm].
    length : float
        Taut, from end to end [mm].
    mirrored : bool
        There is another one on the other side.

    """

    id: Id
    name: Label = ""
    chassis: Point
    axle: Point
    length: Length
    mirrored: bool = False


Shocks = Annotated[tuple[Shock, ...], Meta(max_length=MOST_EACH)]
BumpStops = Annotated[tuple[BumpStop, ...], Meta(max_length=MOST_EACH)]
Straps = Annotated[tuple[Strap, ...], Meta(max_length=MOST_EACH)]


def check_shock(shock: Shock, place: str) -> None:
    """Refuse a shock that cannot be, or that does not fit at ride height.

    Raises
    ------
    RigError

    """
    what = f"shock “{shock.id}”"
    span = _check_ends(shock, place, what)
    stroke = shock.extended - shock.collapsed
    if stroke <= 0.0:
        raise RigError(
            f"{place}.extended",
            f"{what} is {shock.extended:g} mm long extended and must then be longer than the {shock.collapsed:g} mm "
            "it has collapsed; put one of them right",
        )
    if stroke >= shock.collapsed:
        raise RigError(
            f"{place}.collapsed",
            f"{what} is {shock.collapsed:g} mm long collapsed and cannot take in a stroke of {stroke:g} mm; the "
            f"collapsed length must be more than {shock.extended / 2.0:.1f} mm or the extended one less than "
            f"{2.0 * shock.collapsed:.1f} mm",
        )
    if not shock.collapsed - COINCIDENT <= span <= shock.extended + COINCIDENT:
        low = span < shock.collapsed
        field, verb = ("collapsed", "most") if low else ("extended", "least")
        nearest = _down(span) if low else _up(span)
        raise RigError(
            f"{place}.{field}",
            f"{what} fits no pose: at ride height its eyes are {span:.1f} mm apart, and it is {shock.collapsed:g} mm "
            f"to {shock.extended:g} mm long; the {field} length must be at {verb} {nearest:g} mm, or move an eye",
        )
    _check_widths(shock, place, what)


def check_bump_stop(stop: BumpStop, place: str) -> None:
    """Refuse a bump stop that cannot be, or that leaves no room at ride height.

    Raises
    ------
    RigError

    """
    what = f"bump stop “{stop.id}”"
    room = _check_ends(stop, place, what)
    if stop.compressed >= stop.height:
        raise RigError(
            f"{place}.compressed",
            f"{what} is {stop.compressed:g} mm high compressed and must then be lower than its height of "
            f"{stop.height:g} mm; put one of them right",
        )
    if stop.compressed > room + COINCIDENT:
        raise RigError(
            f"{place}.compressed",
            f"{what} fits no pose: at ride height there are {room:.1f} mm between seat and pad, and compressed it is "
            f"{stop.compressed:g} mm high; make that at most {_down(room):g} mm, or move the seat",
        )


def check_strap(strap: Strap, place: str) -> None:
    """Refuse a strap that is shorter than the way between its ends at ride height.

    Raises
    ------
    RigError

    """
    what = f"strap “{strap.id}”"
    span = _check_ends(strap, place, what)
    if strap.length < span - COINCIDENT:
        raise RigError(
            f"{place}.length",
            f"{what} is {strap.length:g} mm long, and at ride height its ends are {span:.1f} mm apart; make it at "
            f"least {_up(span):g} mm, or move an end",
        )


def _check_ends(part: Shock | BumpStop | Strap, place: str, what: str) -> float:
    """Distance of both ends at ride height [mm]."""
    span = dist(part.chassis, part.axle)
    if span <= COINCIDENT:
        raise RigError(f"{place}.chassis", f"{what} has no length, both ends lie at the same point; move one")
    if part.mirrored and _centred((part.chassis, part.axle)):
        raise RigError(f"{place}.mirrored", f"{what} is its own mirror image and would be there twice; set it to false")
    return span


def _check_widths(shock: Shock, place: str, what: str) -> None:
    if shock.shaft_od >= shock.body_od:
        raise RigError(
            f"{place}.shaft_od",
            f"the shaft of {what} is {shock.shaft_od:g} mm thick and must be thinner than its body of "
            f"{shock.body_od:g} mm",
        )
    if shock.spring_od is not None and shock.spring_od <= shock.body_od:
        raise RigError(
            f"{place}.spring_od",
            f"the spring of {what} is {shock.spring_od:g} mm wide outside and goes round a body of "
            f"{shock.body_od:g} mm; it must be wider, or left out",
        )
    if 2.0 * shock.joint_room >= shock.collapsed:
        raise RigError(
            f"{place}.joint_room",
            f"joint room of {shock.joint_room:g} mm at each end leaves nothing of {what}, {shock.collapsed:g} mm long "
            f"collapsed; make it less than {shock.collapsed / 2.0:.1f} mm",
        )


def _centred(ends: Iterable[Point]) -> bool:
    return all(abs(end[1]) <= COINCIDENT for end in ends)


def _up(value: float) -> float:
    return round(ceil(value / STEP - COINCIDENT) * STEP, 6)


def _down(value: float) -> float:
    return round(floor(value / STEP + COINCIDENT) * STEP, 6)
