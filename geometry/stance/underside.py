"""What hangs under the rig at ride height, seen from the side: straight pieces with the ball that sweeps along them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.contact.solids import Pieces, bar_pieces, panel_pieces
from geometry.motion.carried import pinion_tip
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, Floats, PartRef, Side
from geometry.rig.naming import leaf_part, link_part, pinion_part
from geometry.rig.pinion import pinion_base
from geometry.rig.rig import Rig


@dataclass(frozen=True, eq=False)
class Underside:
    """n straight pieces; a panel is there with its edges, which no line from below passes.

    Attributes
    ----------
    parts : tuple of PartRef
    part : array of int, shape (n,)
        Which part a piece belongs to.
    ends : array, shape (n, 2, 3) [mm]
    radius : array, shape (n,) [mm]

    """

    parts: tuple[PartRef, ...]
    part: NDArray[np.intp]
    ends: Floats
    radius: Floats

    def rows(self, which: NDArray[np.intp] | NDArray[np.bool_], ends: Floats | None = None) -> Underside:
        """Some of the pieces; with other ends, if given."""
        return Underside(self.parts, self.part[which], self.ends[which] if ends is None else ends, self.radius[which])


def chassis_pieces(rig: Rig) -> Underside:
    """Bars and fitted panels; bends and facets that are not flat are thickened on the safe side."""
    bars, panels = bar_pieces(rig), panel_pieces(rig)
    return _joined([_edges(bars), _edges(panels)])


def hanging_pieces(rig: Rig) -> Underside:
    """Bars, fitted panels, links from joint to joint, leaf springs, pinions; not what hides between the tires."""
    return _joined([chassis_pieces(rig), *_of_axles(rig)])


def between(pieces: Underside, low: float, high: float) -> Underside:
    """The pieces as far as their middle lines lie at stations from low to high [mm]."""
    start, leg = pieces.ends[:, 0], pieces.ends[:, 1] - pieces.ends[:, 0]
    level = leg[:, 0] == 0.0
    steps = np.where(level, 1.0, leg[:, 0])
    cuts = np.stack([(low - start[:, 0]) / steps, (high - start[:, 0]) / steps])
    first = np.where(level, 0.0, np.clip(cuts.min(axis=0), 0.0, 1.0))
    last = np.where(level, 1.0, np.clip(cuts.max(axis=0), 0.0, 1.0))
    inside = np.where(level, (low <= start[:, 0]) & (start[:, 0] <= high), cuts.min(axis=0) <= 1.0)
    inside &= level | (cuts.max(axis=0) >= 0.0)
    shares = np.stack([first, last], axis=1)[inside]
    return pieces.rows(inside, start[inside, None] + shares[:, :, None] * leg[inside, None])


def _edges(pieces: Pieces) -> Underside:
    loop = pieces.corners
    count, corners = loop.shape[:2]
    following = np.roll(loop, -1, axis=1) if corners > 2 else loop[:, ::-1]
    ends = np.stack([loop, following], axis=2)[:, : corners if corners > 2 else 1]
    each = ends.shape[1]
    return Underside(
        pieces.parts, np.repeat(pieces.part, each), ends.reshape(count * each, 2, 3), np.repeat(pieces.radius, each)
    )


def _of_axles(rig: Rig) -> Iterator[Underside]:
    for axle in rig.axles:
        centre = np.array([axle.station, 0.0, axle.height])
        placed = [(link_part(axle, rod), np.array([rod.chassis, rod.axle]), rod.od / 2.0) for rod in axle.rods]
        if axle.housing.pinion_length > 0.0:
            snout = centre + np.array([pinion_base(axle.housing), pinion_tip(axle)])
            placed.append((pinion_part(axle), snout, axle.housing.pinion_radius))
        placed += _springs(axle)
        if not placed:
            continue
        parts, ends, radii = zip(*placed, strict=True)
        yield Underside(parts, np.arange(len(parts), dtype=np.intp), np.array(ends), np.array(radii))


def _springs(axle: Axle) -> Iterator[tuple[PartRef, Floats, float]]:
    """Both leaf springs, from the seat straight to either eye."""
    springs = axle.leaf_springs
    if springs is None:
        return
    sides: tuple[tuple[Side, Floats], ...] = (("left", np.ones(3)), ("right", MIRROR))
    for side, flip in sides:
        for eye in (springs.fixed_eye, springs.shackle_eye):
            yield leaf_part(axle, side), np.array([springs.seat, eye]) * flip, springs.thickness / 2.0


def _joined(groups: list[Underside]) -> Underside:
    starts = np.cumsum([0, *(len(group.parts) for group in groups)])
    return Underside(
        parts=tuple(part for group in groups for part in group.parts),
        part=np.concatenate([group.part + start for group, start in zip(groups, starts[:-1], strict=True)]),
        ends=np.concatenate([group.ends for group in groups]),
        radius=np.concatenate([group.radius for group in groups]),
    )
