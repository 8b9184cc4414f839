"""Left and right of a chassis that was drawn whole, or by halves: what is each other's image becomes mirrored."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from msgspec.structs import replace

from app.files.joining import Places
from geometry.rig.parts import Bar, Node, Panel

Part = TypeVar("Part", Bar, Panel)


def centred(nodes: Iterable[Node], reach: float) -> list[Node]:
    """Nodes with those on the centre plane exactly there."""
    return [replace(node, at=(node.at[0], 0.0, node.at[2])) if abs(node.at[1]) <= reach else node for node in nodes]


def one_half(nodes: Sequence[Node], bars: Iterable[Bar], panels: Iterable[Panel]) -> tuple[list[Bar], list[Panel]]:
    """Bars and panels that are not on the centre plane, or across it, marked as mirrored."""
    centre = {node.id for node in nodes if node.at[1] == 0.0}

    def marked(part: Part) -> Part:
        alone = _key(part, centre, image=False) == _key(part, centre, image=True)
        return part if alone else replace(part, mirrored=True)

    return [marked(bar) for bar in bars], [marked(panel) for panel in panels]


def paired(
    nodes: Sequence[Node], bars: Iterable[Bar], panels: Iterable[Panel], reach: float
) -> tuple[list[Node], list[Bar], list[Panel], int]:
    """Of each two parts that are each other's image the left one, mirrored; and how many went.

    Nodes at the right that lie within `reach` [mm] of a left one's image give way to it.
    """
    names = _images(nodes, reach)
    centre = {node.id for node in nodes if node.at[1] == 0.0}
    across = {node.id: node.at[1] for node in nodes}
    kept_bars = _kept([_with_refs(bar, names) for bar in bars], centre, across)
    kept_panels = _kept([_with_refs(panel, names) for panel in panels], centre, across)
    used = nodes_of(kept_bars, kept_panels)
    kept_nodes = [node for node in nodes if node.id not in names or node.id in used]
    gone = len(nodes) - len(kept_nodes)
    return kept_nodes, kept_bars, kept_panels, gone


def _images(nodes: Sequence[Node], reach: float) -> Mapping[str, str]:
    """By id of a node at the right, the reference to the left one whose image it is."""
    left = [node for node in nodes if node.at[1] > 0.0]
    places = Places(reach)
    numbers = {places.add(node.at): node.id for node in reversed(left)}
    found: dict[str, str] = {}
    for node in nodes:
        if node.at[1] < 0.0:
            place = places.find((node.at[0], -node.at[1], node.at[2]))
            if place is not None:
                found[node.id] = f"{numbers[place]}'"
    return found


def _with_refs(part: Part, names: Mapping[str, str]) -> Part:
    if isinstance(part, Bar):
        return replace(part, nodes=tuple(_renamed(ref, names) for ref in part.nodes))
    return replace(part, facets=tuple(tuple(_renamed(ref, names) for ref in loop) for loop in part.facets))


def _renamed(ref: str, names: Mapping[str, str]) -> str:
    """A reference by the left node; the image of an image is the node."""
    bare = ref.removesuffix("'")
    if bare not in names:
        return ref
    return names[bare] if bare == ref else names[bare].removesuffix("'")


def _kept(parts: Sequence[Part], centre: set[str], across: Mapping[str, float]) -> list[Part]:
    """Parts of which each pair of images has become one."""
    kept: list[Part] = []
    index: dict[object, int] = {}
    for part in parts:
        own, image = (_key(part, centre, image=image) for image in (False, True))
        there = index.get(image)
        if own == image or there is None or kept[there].mirrored or part.mirrored:
            index.setdefault(own, len(kept))
            kept.append(part)
        else:
            both = sorted((kept[there], part), key=lambda each: -_side(each, across))
            kept[there] = replace(both[0], mirrored=True)
            del index[image]
    return kept


def _key(part: Bar | Panel, centre: set[str], *, image: bool) -> object:
    """What two parts have in common that lie in the same place."""
    if isinstance(part, Bar):
        run = tuple(_ref(ref, centre, image=image) for ref in part.nodes)
        return min(run, run[::-1]), part.od, part.wall, round(part.bend_radius, 1)
    loops = frozenset(frozenset(_ref(ref, centre, image=image) for ref in loop) for loop in part.facets)
    return loops, part.thickness


def _ref(ref: str, centre: set[str], *, image: bool) -> str:
    bare = ref.removesuffix("'")
    return bare if bare in centre or (ref != bare) == image else f"{bare}'"


def _side(part: Bar | Panel, across: Mapping[str, float]) -> float:
    """How far to the left a part lies."""
    return sum(-across[ref[:-1]] if ref.endswith("'") else across[ref] for ref in refs_of(part))


def refs_of(part: Bar | Panel) -> tuple[str, ...]:
    """All node references of a part."""
    return part.nodes if isinstance(part, Bar) else tuple(ref for loop in part.facets for ref in loop)


def nodes_of(bars: Iterable[Bar], panels: Iterable[Panel]) -> set[str]:
    """Ids of the nodes that parts hang on."""
    refs = [ref for bar in bars for ref in bar.nodes] + [ref for panel in panels for ref in refs_of(panel)]
    return {ref.removesuffix("'") for ref in refs}
