"""The long rig's chassis with fewer or more bars, for measuring how cost grows.

Fewer: bars left out evenly. More: every bay is divided as a builder divides it, by rungs and diagonals between two
straights that meet at a node, finer and finer all over the chassis. The outline stays. As on any rig that is meant to
work, no brace is put where it would lie nearer to tire, axle or links than what is wanted and ROOM beside it; bars
that were there, touching ones too, stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, combinations, pairwise
from math import ceil
from typing import Final, TypeVar

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from geometry.contact.axle_check import axle_problems, travel_box
from geometry.contact.search import closest_approaches
from geometry.rig.layout import bar_paths, node_points
from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig

ROOM: Final = 25.0
"""What a builder leaves beside the wanted clearance where there is a choice [mm]: a hand's breadth is four of it."""

SHORTEST: Final = 60.0
"""Least length of a brace [mm]: nobody welds in a shorter one."""

FINEST: Final = 24
"""Parts into which a straight is divided at most [-]."""

Floats = NDArray[np.float64]
T = TypeVar("T")


def scaled_rig(rig: Rig, bars: int) -> Rig:
    """A rig with so many bars, mirror images counted (fewer ones by pairs, down to one less); always the same one.

    Raises
    ------
    ValueError
        When the chassis has no room for so many.

    """
    extra = bars - sum(1 for _ in bar_paths(rig))
    if extra < 0:
        return replace(rig, bars=_fewer(rig, bars))
    braces: list[tuple[Floats, Floats]] = []
    for level in _levels(rig):
        room = (extra + 1) // 2 - len(braces)
        if room <= 0:
            break
        fitting = _clear_of_axles(rig, level)
        braces += _evenly(fitting, min(room, len(fitting)))
    if len(braces) < (extra + 1) // 2:
        raise ValueError(f"no room for {bars} bars; there is for {bars - extra + 2 * len(braces)}")
    return _with_braces(rig, braces, extra)


def _fewer(rig: Rig, bars: int) -> tuple[Bar, ...]:
    """Bars left out evenly, until no more than that many are left."""
    tries = (_evenly(rig.bars, count) for count in range(len(rig.bars), -1, -1))
    return tuple(next(kept for kept in tries if sum(1 + bar.mirrored for bar in kept) <= bars))


def _evenly(items: Sequence[T], count: int) -> list[T]:
    """So many of the items, spread over all of them."""
    return [items[(2 * index + 1) * len(items) // (2 * count)] for index in range(count)]


def _levels(rig: Rig) -> Iterator[list[tuple[Floats, Floats]]]:
    """Ends of the braces of each round, left side; every straight is divided into one part more in each."""
    corners = list(_corners(rig))
    for parts in range(2, FINEST + 1):
        shares = [part / parts for part in range(1, parts)]
        rungs = ((share, share) for share in shares)
        diagonals = chain.from_iterable(((a, b), (b, a)) for a, b in pairwise(shares))
        for one, other in chain(rungs, diagonals):
            braces = [(node + one * a, node + other * b) for node, a, b in corners]
            yield [(a, b) for a, b in braces if float(np.linalg.norm(b - a)) >= SHORTEST]


def _corners(rig: Rig) -> Iterator[tuple[Floats, Floats, Floats]]:
    """Node on the left, and the spans of two straights that leave it in different directions, not to the right."""
    nodes = node_points(rig)
    spans: dict[str, dict[str, Floats]] = {}
    for bar in rig.bars:
        for start, end in pairwise(bar.nodes):
            for near, far in ((start, end), (end, start)):
                if nodes[near][1] >= 0.0 and nodes[far][1] >= 0.0:
                    spans.setdefault(near, {})[far] = nodes[far] - nodes[near]
    for node, leaving in spans.items():
        for one, other in combinations(leaving.values(), 2):
            if max(one[1] + nodes[node][1], other[1] + nodes[node][1], nodes[node][1]) > 0.0 and _turns(one, other):
                yield nodes[node], one, other


def _turns(one: Floats, other: Floats) -> bool:
    """Whether two spans differ in direction by 15° to 150°: others leave no bay between them."""
    cosine = float(one @ other) / float(np.linalg.norm(one) * np.linalg.norm(other))
    return -0.866 < cosine < 0.966


def _clear_of_axles(rig: Rig, braces: list[tuple[Floats, Floats]]) -> list[tuple[Floats, Floats]]:
    """Those braces that no part of any axle comes near, on either side, over its whole travel."""
    bare = replace(rig, bars=(), panels=(), nodes=())
    tried = _with_braces(bare, braces, 2 * len(braces))
    hindered: set[str] = set()
    for axle in tried.axles:
        problem = axle_problems(tried, axle)[0].as_margin(ROOM)
        found = closest_approaches(
            problem.scene, problem.pairs, len(problem.names), travel_box(axle), overlap_share=1.0, far=0.0
        )
        hindered |= {name.fixed.id for name, low in zip(problem.names, found.low, strict=True) if low < 0.0}
    return [brace for brace, bar in zip(braces, tried.bars, strict=True) if bar.id not in hindered]


def _with_braces(rig: Rig, braces: list[tuple[Floats, Floats]], count: int) -> Rig:
    """The rig with so many bars more, two for each brace; the last brace may be on one side only."""
    nodes, bars = list(rig.nodes), list(rig.bars)
    for index, ends in enumerate(braces[: ceil(count / 2)]):
        x, y = f"brace-{index}-a", f"brace-{index}-b"
        places = [tuple(float(value) for value in end) for end in ends]
        nodes += [Node(id=x, at=places[0]), Node(id=y, at=places[1])]  # type: ignore[arg-type]
        bars.append(Bar(id=f"brace-{index}", nodes=(x, y), od=25.4, wall=2.0, mirrored=2 * index + 1 < count))
    return replace(rig, nodes=tuple(nodes), bars=tuple(bars))
