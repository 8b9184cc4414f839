"""Pairs of solids seen by the search: where the one's corners are from the other's core, for any pose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.contact.bounds import Local
from geometry.contact.movers import STEER, WIDTH, Movers
from geometry.contact.solids import Pieces

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class View:
    """n pairs, each in its own pose: the hull's corners from the core's centre, and how both change.

    Attributes
    ----------
    corners : array, shape (n, v, 3) [mm]
    corner_slope : array, shape (n, 1 or v, 3, 4)
    axis : array, shape (n, 3)
    axis_slope : array, shape (n, 3, 4)
    centre : array, shape (n, 3)
        The core's centre in the rig's frame [mm].
    half_length, radius : array, shape (n,)
        Of the core [mm].
    edge, edge_slope : array, shape (n, 3) and (n, 3, 4), or None
        Unit direction of a hull that is a moving straight, from its first corner to its second as
        `distance.separation` gives it, and its slope; None = the hull stands still.

    """

    corners: Floats
    corner_slope: Floats
    axis: Floats
    axis_slope: Floats
    centre: Floats
    half_length: Floats
    radius: Floats
    edge: Floats | None = None
    edge_slope: Floats | None = None

    def rows(self, which: Indices | NDArray[np.bool_]) -> View:
        """Some of the pairs."""
        edge = None if self.edge is None else self.edge[which]
        edge_slope = None if self.edge_slope is None else self.edge_slope[which]
        return View(
            corners=self.corners[which],
            corner_slope=self.corner_slope[which],
            axis=self.axis[which],
            axis_slope=self.axis_slope[which],
            centre=self.centre[which],
            half_length=self.half_length[which],
            radius=self.radius[which],
            edge=edge,
            edge_slope=edge_slope,
        )


@dataclass(frozen=True)
class Pairs:
    """The pairs to look at, piece by piece.

    Attributes
    ----------
    mover, piece : array of int, shape (n,)
        Row of the moving solid and of the other one.
    group : array of int, shape (n,)
        Pieces of one group share one closest approach.
    shrink : array, shape (n,)
        Taken off the distance of the cores: both skins, the pose map's error, and what is wanted, if asked [mm].

    """

    mover: Indices
    piece: Indices
    group: Indices
    shrink: Floats

    def rows(self, which: Indices | NDArray[np.bool_]) -> Pairs:
        """Some of the pairs, groups unchanged."""
        return Pairs(self.mover[which], self.piece[which], self.group[which], self.shrink[which])


class Scene:
    """Moving solids against pieces of the chassis, or, with `pieces` None, against moving solids of the same axle."""

    def __init__(self, movers: Movers, pieces: Pieces | None) -> None:
        self.movers = movers
        self.pieces = pieces

    def view(self, mover: Indices, piece: Indices, q: Floats) -> View:
        """Look at pairs in poses q, shape (n, 4)."""
        placed = self.movers.at(mover, q)
        own = (
            placed.axis,
            placed.axis_slope,
            placed.centre,
            self.movers.half_at(mover, q[:, WIDTH]),
            self.movers.core_radius[mover],
        )
        if self.pieces is not None:
            corners = self.pieces.corners[piece] - placed.centre[:, None]
            return View(corners, -placed.centre_slope[:, None], *own)
        other = self.movers.at(piece, q)
        half = self.movers.half_at(piece, q[:, WIDTH])[:, None]
        reach = half * other.axis
        reach_slope = half[:, :, None] * other.axis_slope
        reach_slope[:, :, WIDTH] += self.movers.half_by_width[piece][:, None] * other.axis
        corners = np.stack([other.centre - reach, other.centre + reach], axis=1) - placed.centre[:, None]
        slope = np.stack([other.centre_slope - reach_slope, other.centre_slope + reach_slope], axis=1)
        slope = slope - placed.centre_slope[:, None]
        # Two parts that the axle carries are seen from the axle: for them no travel is a freedom.
        carried = self._carried(mover, piece)
        slope[carried, :, :, :STEER] = 0.0
        for each in (placed.axis_slope, other.axis_slope):
            each[carried, :, :STEER] = 0.0
        return View(corners, slope, *own, other.axis, other.axis_slope)

    def local(self, pairs: Pairs, view: View, spread: Floats, size: Floats, ways: Floats) -> Local:
        """How everything changes over the cells round a view.

        Parameters
        ----------
        pairs, view : of the same n pairs
        spread : array, shape (n, 4)
            Largest change of each freedom within the cell.
        size : array, shape (n, k)
            Half the cell's extent along each way.
        ways : array, shape (k, 4) or (n, k, 4)
            Change of the freedoms along each way.

        """
        lead = np.swapaxes(ways, -1, -2)
        spread = self.bending(pairs, spread)
        curvature = self.movers.centre_curvature[pairs.mover]
        axis_curvature = self.movers.axis_curvature[pairs.mover]
        rest = _rest(curvature, spread)[:, None]
        edge: tuple[Floats, Floats] | None = None
        if view.edge_slope is not None:
            other = _rest(self.movers.centre_curvature[pairs.piece], spread)
            edge_rest = _rest(self.movers.axis_curvature[pairs.piece], spread)
            rest = rest + (other + self._end_rest(pairs.piece, view, spread, edge_rest))[:, None]
            edge = (view.edge_slope @ lead, edge_rest)
        return Local(
            corners=view.corners,
            corner_slope=view.corner_slope @ (lead if lead.ndim == 2 else lead[:, None]),
            corner_rest=rest,
            axis=view.axis,
            axis_slope=view.axis_slope @ lead,
            axis_rest=_rest(axis_curvature, spread),
            size=size,
            # A core that grows within the cell counts with its greatest length.
            half_length=view.half_length + self.movers.half_by_width[pairs.mover] * spread[:, WIDTH],
            radius=view.radius,
            edge_motion=edge,
        )

    def steered(self, pairs: Pairs) -> NDArray[np.bool_]:
        """Which pairs the steer moves, shape (n,)."""
        return self._either(self.movers.steered, pairs)

    def widened(self, pairs: Pairs) -> NDArray[np.bool_]:
        """Which pairs the width moves, shape (n,)."""
        return self._either(self.movers.widened, pairs)

    def carried(self, pairs: Pairs) -> NDArray[np.bool_]:
        """Which pairs are of two parts that the axle carries, so that no travel changes their distance, shape (n,)."""
        return self._carried(pairs.mover, pairs.piece)

    def bending(self, pairs: Pairs, spread: Floats) -> Floats:
        """How far the freedoms that move a pair change where they change by `spread`, both of shape (n, 4)."""
        carried = self.carried(pairs)
        if not carried.any():
            return spread
        spread = spread.copy()
        spread[carried, :STEER] = 0.0
        return spread

    def _carried(self, mover: Indices, piece: Indices) -> NDArray[np.bool_]:
        if self.pieces is not None:
            return np.zeros(len(mover), dtype=np.bool_)
        both: NDArray[np.bool_] = self.movers.carried[mover] & self.movers.carried[piece]
        return both

    def _either(self, flags: NDArray[np.bool_], pairs: Pairs) -> NDArray[np.bool_]:
        own: NDArray[np.bool_] = flags[pairs.mover]
        return own if self.pieces is not None else own | flags[pairs.piece]

    def lengthened(self, piece: Indices, view: View, spread: Floats) -> Floats:
        """What moving straights that grow with the width add to the bend of their ends, shape (n,) [mm].

        An end is at c + h a. To first order h changes and a turns; both at once is what is added here.
        """
        grown = self.movers.half_by_width[piece] * spread[:, WIDTH]
        if view.edge_slope is None or not grown.any():
            return np.zeros(len(piece))
        turned = np.sqrt((view.edge_slope**2).sum(axis=1))
        bent = 0.5 * np.einsum("nij,ni,nj->n", self.movers.axis_reach[piece], spread, spread)
        return np.asarray(grown * ((turned * spread).sum(axis=1) + bent))

    def _end_rest(self, piece: Indices, view: View, spread: Floats, edge_rest: Floats) -> Floats:
        """Remainder of a moving straight's ends from its middle, per component, shape (n, 3) [mm]."""
        grown = self.movers.half_by_width[piece] * spread[:, WIDTH]
        rest: Floats = self.movers.half_most[piece][:, None] * edge_rest
        if view.edge_slope is not None and grown.any():
            rest = rest + grown[:, None] * ((np.abs(view.edge_slope) * spread[:, None]).sum(axis=2) + edge_rest)
        return rest


def make_pairs(
    movers: Movers, which: Sequence[int], pieces: Pieces, wanted: Sequence[float] | None = None
) -> tuple[Pairs, tuple[tuple[int, int], ...]]:
    """Every solid of `which` against every piece.

    Returns the pairs and, per group, (moving solid, part of the pieces). `wanted`, per entry of `which`, is taken
    off the distance when given.
    """
    count = len(pieces.part)
    mover = np.repeat(np.array(which, dtype=np.intp), count)
    piece = np.tile(np.arange(count, dtype=np.intp), len(which))
    parts = len(pieces.parts)
    group = np.repeat(np.arange(len(which)) * parts, count) + np.tile(pieces.part, len(which))
    extra = 0.0 if wanted is None else np.repeat(np.array(wanted, dtype=np.float64), count)
    shrink = movers.skin[mover] + pieces.radius[piece] + movers.margin + extra
    names = tuple((m, part) for m in which for part in range(parts))
    return Pairs(mover, piece, group, shrink), names


def _rest(curvature: Floats, spread: Floats) -> Floats:
    """½ Σ curvature spread spread per component: shape (n, 3)."""
    return np.asarray(0.5 * np.einsum("ncij,ni,nj->nc", curvature, spread, spread))
