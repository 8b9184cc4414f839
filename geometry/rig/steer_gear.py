"""What turns steered wheels and how far: tie rod or Ackermann share, drag link or ram.

Places on the knuckle are told as that of the kingpin is: from the centre of the left wheel-mount face with the axle
level and the wheels straight, forward, left, up [mm]. They move with the face when the width changes, and those on the
right are the mirror image.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct

from geometry.rig.parts import Coordinate, Length, Point

OnKnuckle = tuple[Coordinate, Coordinate, Coordinate]
Share = Annotated[float, Meta(ge=-2.0, le=2.0, description="[-]")]


class TieRod(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The rod that ties the left knuckle to the right one; both arms are alike.

    Attributes
    ----------
    arm : tuple
        Centre of its ball joint on the left steering arm [mm].
    od : float
        Outside diameter [mm].

    """

    arm: OnKnuckle
    od: Length = 38.1


class Ackermann(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The turn of the outer wheel told without the tie rod that makes it.

    Attributes
    ----------
    share_factor : float
        0 = both wheels turn by the same angle, 1 = the outer one by as much less as correct steering asks [-].
    turn_length : float
        From the steered axle back to the line across the rig that it turns about, as a rule the wheelbase; negative
        where that line is ahead of it, as for a rear axle that steers [mm].

    """

    share_factor: Share
    turn_length: Coordinate


class DragLink(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The link from the pitman arm to one knuckle.

    Attributes
    ----------
    pitman : Point
        Centre of its ball joint on the pitman arm, wheels straight, at ride height, rig's frame [mm].
    shaft, shaft_end : Point
        Two points of the axis about which the pitman arm turns, rig's frame [mm].
    knuckle : str
        Which knuckle it goes to.
    arm : tuple
        Centre of its ball joint there, told as on the left knuckle [mm].
    od : float
        Outside diameter [mm].

    """

    pitman: Point
    shaft: Point
    shaft_end: Point
    knuckle: Literal["left", "right"]
    arm: OnKnuckle
    od: Length = 38.1


class Ram(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A double-ended ram on the axle, lying across it, a link from either end of its rod to the steering arm there.

    Attributes
    ----------
    forward, up : float
        Its line from the axle's centre, axle level [mm].
    stroke : float
        Whole way of the rod, from one end of the body to the other [mm].
    od, length : float
        Outside diameter and length of the body [mm].
    eyes : float
        Eye to eye of the rod, between the joints of its links [mm].
    arm : tuple
        Centre of the link's ball joint on the left steering arm [mm].

    """

    forward: Coordinate
    up: Coordinate
    stroke: Length
    od: Length = 63.5
    length: Length
    eyes: Length
    arm: OnKnuckle
