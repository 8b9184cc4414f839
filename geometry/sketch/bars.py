"""Bars: drawn, split, joined, extended and bent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from geometry.rig.layout import PartRef
from geometry.rig.parts import Point
from geometry.rig.rig import Rig

End = Literal[0, -1]
"""First or last node of a bar."""


def with_bar(
    rig: Rig,
    points: Sequence[Point],
    *,
    od: float,
    wall: float,
    bend_radius: float = 0.0,
    mirrored: bool = False,
    name: str = "",
) -> tuple[Rig, PartRef]:
    """The rig with a bar along points [mm], and the bar.

    Nodes that lie there already are used, images too. A bar that is its own mirror image is entered once, whatever
    `mirrored` says.

    Raises
    ------
    RigError
        When there are fewer than two points or the bar cannot be used.

    """
    raise NotImplementedError


def split(rig: Rig, bar_id: str, at: Point) -> tuple[Rig, PartRef]:
    """The rig with a bar cut in two at the place of its centre line that is nearest to a point, and the new bar.

    The first piece keeps the id. The cut is at an inner node or within a straight, where a node is put on the line
    between the corner nodes unless there is one. Of a mirrored bar the image is cut, too, and may be pointed at.

    Raises
    ------
    RigError
        When the place is an end of the bar or lies within a bend.

    """
    raise NotImplementedError


def joined(rig: Rig, first_id: str, second_id: str) -> Rig:
    """The rig with two bars that meet end to end made one, which keeps the id of the first.

    A mirrored bar that ends on the centre plane is joined with its own image by naming it twice.

    Raises
    ------
    RigError
        When they do not meet end to end, or differ in diameter, wall, bends or being mirrored.

    """
    raise NotImplementedError


def extended(rig: Rig, bar_id: str, end: End, by: float) -> Rig:
    """The rig with a bar made longer along its last straight, shorter where `by` is negative [mm].

    Others that share the end node stay where they are.

    Raises
    ------
    RigError
        When it would be cut by more than the last straight.

    """
    raise NotImplementedError


def extended_to(rig: Rig, bar_id: str, end: End, other_id: str) -> Rig:
    """The rig with the end of a bar put on the centre line of another one, where the last straight meets it.

    The straight may pass by the other's centre line by as much as lets the tubes touch; the end then goes to the
    nearest point of that line. Images count as others; what is too long is cut back.

    Raises
    ------
    RigError
        When the straight passes by farther, with the distance.

    """
    raise NotImplementedError


def with_bend(rig: Rig, bar_id: str, bend_radius: float) -> Rig:
    """The rig with a bar bent to a centre-line radius [mm], 0 = mitred; raises RigError where it does not fit."""
    raise NotImplementedError
