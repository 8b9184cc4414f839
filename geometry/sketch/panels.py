"""Panels: made of picked nodes, fitted or off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.parts import Panel
from geometry.rig.rig import Rig
from geometry.sketch.lookup import checked, is_own_image, item, part_of, points_of, with_item
from geometry.sketch.names import free_id


def with_panel(
    rig: Rig, node_refs: Sequence[str], *, thickness: float = 2.0, mirrored: bool = False, name: str = ""
) -> tuple[Rig, PartRef]:
    """The rig with a flat panel on nodes (ids, with an apostrophe for images), and the panel.

    The corners may come in any order: a panel without notches has only one. A panel that is its own mirror image is
    entered once, whatever `mirrored` says.

    Raises
    ------
    RigError
        When there are fewer than three nodes, or they lie in no plane, on one line, or inside the others' outline.

    """
    if len(node_refs) < 3:
        raise RigError("panels", "a panel needs three nodes at least; pick more")
    panel = Panel(
        id=free_id({one.id for one in rig.panels}, "panel-"),
        name=name,
        facets=(_in_order(rig, node_refs),),
        thickness=thickness,
        mirrored=mirrored,
    )
    if mirrored and is_own_image(rig, panel):
        panel = replace(panel, mirrored=False)
    rig = checked(replace(rig, panels=(*rig.panels, panel)))
    return rig, part_of(rig, panel)


def _in_order(rig: Rig, refs: Sequence[str]) -> tuple[str, ...]:
    """The corners in order round the middle, from the first one on, towards the second the short way."""
    points = np.array(points_of(rig, refs))
    arms = points - points.mean(axis=0)
    # The two directions in which the points spread most span the plane that lies best through them.
    plane = np.linalg.svd(arms, full_matrices=False)[2][:2]
    across, up = plane @ arms.T
    angles = np.arctan2(up, across)
    turns = (angles - angles[0]) % (2.0 * np.pi)
    if turns[1] > np.pi:
        turns = -turns % (2.0 * np.pi)
    return tuple(refs[index] for index in np.argsort(turns, kind="stable"))


def with_fitted(rig: Rig, panel_id: str, *, fitted: bool) -> Rig:
    """The rig with a panel fitted or taken off; RigError when there is none of that id."""
    panel = item(rig.panels, panel_id, "panels")
    return checked(replace(rig, panels=with_item(rig.panels, replace(panel, fitted=fitted))))
