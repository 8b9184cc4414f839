"""Panels: made of picked nodes, fitted or off."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig


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
    raise NotImplementedError


def with_fitted(rig: Rig, panel_id: str, *, fitted: bool) -> Rig:
    """The rig with a panel fitted or taken off; RigError when there is none of that id."""
    raise NotImplementedError
