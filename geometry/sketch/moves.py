"""Moving: nodes and what hangs on them, joints and links, axles and tires, the whole chassis."""

from __future__ import annotations

from collections.abc import Iterable

from geometry.rig.layout import PartRef
from geometry.rig.parts import Point
from geometry.rig.rig import Rig


def moved(rig: Rig, parts: Iterable[PartRef], by: Point, *, both_sides: bool = True, off_centre: bool = False) -> Rig:
    """The rig with parts moved by an offset [mm].

    Nodes move themselves, bars and panels by all their nodes, links by both joints. Of an axle, whichever of its parts
    is given, station and height change and the links' joints on it go along; a tire also changes the width by twice
    its way across. An image moves its original the mirrored way, and where original and image are moved at once
    they go along and up, but not across. Each point moves once, however many of the parts it belongs to.

    Parameters
    ----------
    both_sides : bool
        A joint at the mirror image of a moved one, on the same axle, goes the mirrored way.
    off_centre : bool
        Points on the centre plane may leave it; else they move along it.

    Raises
    ------
    RigError
        When a part is not there or the result cannot be used.

    """
    raise NotImplementedError


def placed(rig: Rig, part: PartRef, at: Point) -> Rig:
    """The rig with one node or joint put at a point [mm], wherever that is; raises RigError as `moved`."""
    raise NotImplementedError


def lifted(rig: Rig, by: float) -> Rig:
    """The rig with another ride height: nodes and chassis joints go up, axles stay [mm]; raises RigError as `moved`."""
    raise NotImplementedError
