"""Which parts of one axle are checked against each other.

A part is not checked against what it is bolted to. Most of that the room of its joints leaves out; what it does not:

- rods that meet in one joint, as both legs of a wishbone;
- the driveshaft and the axle's middle, which it ends in; leaf springs and the housing, which they are clamped to;
- the tie rod and tires with its ball joints inside the wheel: the solid of a tire is full, a wheel is not.

Neither are parts that both are the housing's, for they do not move against each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import dist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.findings import PairKind
from geometry.contact.movers import Solid
from geometry.motion.carried import tire_centre
from geometry.rig.axle import Axle, Rod
from geometry.rig.layout import PartRef
from geometry.rig.wheel import tire_dimensions

Indices = NDArray[np.intp]

_TIRE: Final[dict[str, PairKind]] = {"shock": "tire_shock", "tie rod": "tire_tie_rod"}
_OWN: Final[dict[str, PairKind]] = {
    "tie rod": "tie_rod_own",
    "driveshaft": "shaft_own",
    "shock": "shock_own",
    "link": "link_own",
}
_SPRINGS: Final = ("leaf spring", "shackle")
_MIDDLE: Final = ("centre section", "pinion")

PARTNERS: Final[dict[str, tuple[str, ...]]] = {
    "tire": ("link", *_SPRINGS, "shock", "tie rod"),
    "tie rod": ("link", *_SPRINGS, "shock", "driveshaft", "housing", *_MIDDLE, "ram"),
    "driveshaft": ("link", *_SPRINGS, "shock", "ram"),
    "shock": ("link", *_SPRINGS, "housing", *_MIDDLE, "ram"),
    "link": ("link", "housing", *_MIDDLE, "ram"),
}
"""By the kind of the part that is named first: what of its own axle it is checked against."""


def own_pairs(axle: Axle, solids: Sequence[Solid]) -> tuple[Indices, Indices]:
    """Rows of both solids of every pair, the one named first, and so what has a core of its own, in front."""
    apart = {frozenset(pair) for pair in _one_joint(axle.rods)}
    inside = _is_in_wheel(axle)
    pairs = []
    for one, solid in enumerate(solids):
        for other, partner in enumerate(solids):
            if partner.part.kind not in PARTNERS.get(solid.part.kind, ()):
                continue
            if solid.part.kind == partner.part.kind and other <= one:
                continue
            if solid.part.kind == "tire" and partner.part.kind == "tie rod" and inside:
                continue
            if frozenset((_own_id(axle, solid.part), _own_id(axle, partner.part))) not in apart:
                pairs.append((one, other))
    rows = np.array(pairs, dtype=np.intp).reshape(-1, 2)
    return rows[:, 0], rows[:, 1]


def own_kind(moving: PartRef, fixed: PartRef) -> PairKind:
    """Kind of a pair of one axle's parts."""
    return _TIRE.get(fixed.kind, "tire_link") if moving.kind == "tire" else _OWN[moving.kind]


def _own_id(axle: Axle, part: PartRef) -> str:
    return part.id.removeprefix(f"{axle.id}.") if part.kind == "link" else part.kind


def _one_joint(rods: Sequence[Rod]) -> list[tuple[str, str]]:
    """Rods whose ends lie nearer to each other than either is thick: they are held there as one."""
    return [
        (one.id, other.id)
        for one, other in combinations(rods, 2)
        if min(dist(one.axle, other.axle), dist(one.chassis, other.chassis)) < (one.od + other.od) / 2.0
    ]


def _is_in_wheel(axle: Axle) -> bool:
    """Whether the tie rod's balls lie outboard of the tires' inner faces, wheels straight."""
    steering = axle.steering
    if steering is None or steering.tie_rod is None:
        return False
    face = float(tire_centre(axle, "left")[1]) - tire_dimensions(axle.tire).section_width / 2.0
    return axle.width / 2.0 + steering.tie_rod.arm[1] > face
