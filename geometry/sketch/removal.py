"""Taking parts out, and what hangs on them."""

from __future__ import annotations

from collections.abc import Iterable

from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig


def without(rig: Rig, parts: Iterable[PartRef], *, nodes_too: bool = True) -> Rig:
    """The rig without parts; an image stands for its original, any part of an axle for the axle.

    Bars run straight through where a node of theirs goes, and go where fewer than two are left; facets of panels go
    with fewer than three corners, panels with no facet.

    Parameters
    ----------
    nodes_too : bool
        Nodes that only removed bars and panels used go as well.

    Raises
    ------
    RigError
        When an axle would be left with fewer than four links or the rig without an axle, when the end of a link is
        meant, or when a part is not there.

    """
    raise NotImplementedError
