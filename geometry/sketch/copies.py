"""Copies: across the centre plane and by an offset."""

from __future__ import annotations

from collections.abc import Iterable

from geometry.rig.layout import PartRef
from geometry.rig.parts import Point
from geometry.rig.rig import Rig


def mirrored(rig: Rig, parts: Iterable[PartRef], *, own: bool = False) -> tuple[Rig, tuple[PartRef, ...]]:
    """The rig with bars and panels on the other side, too, and what is new there.

    Parameters
    ----------
    own : bool
        Make parts of their own with nodes of their own (where there is none yet), which then go their own ways; a
        mirrored part is taken apart that way. Else parts are only marked as mirrored and stay alike. Nodes have
        images anyway and are copied only with `own`; links are always copied.

    Raises
    ------
    RigError
        When none of the parts can be mirrored: its image is there already, or it is its own image.

    """
    raise NotImplementedError


def copied(rig: Rig, parts: Iterable[PartRef], by: Point, *, count: int = 1) -> tuple[Rig, tuple[PartRef, ...]]:
    """The rig with copies of nodes, bars and panels at an offset, twice the offset and so on [mm], and the copies.

    Copies get nodes of their own unless there is one at that place. An image is copied as its original, the mirrored
    way.

    Raises
    ------
    RigError
        When a copy would lie exactly on a part that is there, or a part is none that can be copied.

    """
    raise NotImplementedError
