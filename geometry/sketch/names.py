"""Ids: free ones for what is new, other ones for what has a poor one."""

from __future__ import annotations

from collections.abc import Iterable

from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig


def free_id(taken: Iterable[str], stem: str) -> str:
    """The stem with the number that follows the largest one in use: ``free_id(["bar-6"], "bar-")`` is ``bar-7``."""
    raise NotImplementedError


def renamed(rig: Rig, part: PartRef, new_id: str) -> Rig:
    """The rig with another id for a node, bar, panel, link or axle; whatever names it follows.

    Raises
    ------
    RigError
        When the id is taken or is no usable one, or when there is no such part.

    """
    raise NotImplementedError
