"""Ids: free ones for what is new, other ones for what has a poor one."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from typing import Final, Protocol, TypeVar

from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig import unconfirmed
from geometry.rig.check import check_rig
from geometry.rig.layout import PartRef
from geometry.rig.naming import link_part
from geometry.rig.parts import Bar, Panel
from geometry.rig.rig import Rig

LONGEST_STEM: Final = 54
"""Length of an id that leaves room for a number within the 64 that an id may have [characters]."""

LONGEST_NAME_STEM: Final = 109
"""The same for a name, which may have 120 [characters]."""


class _Named(Protocol):
    @property
    def id(self) -> str: ...


Item = TypeVar("Item", bound=_Named)


def free_id(taken: Collection[str], stem: str) -> str:
    """The stem with the number that follows the largest one in use: ``free_id(["bar-6"], "bar-")`` is ``bar-7``."""
    counted = re.compile(re.escape(stem) + r"([0-9]{1,9})")
    numbers = [int(found[1]) for one in taken if one.startswith(stem) and (found := counted.fullmatch(one))]
    number = max(numbers, default=0) + 1
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def copy_id(taken: Collection[str], original: str) -> str:
    """A free id for a copy: ``hoop-2`` after ``hoop-1``, ``rail-2`` after ``rail``."""
    return _counted_on(taken, original[:LONGEST_STEM], "-")


def copy_name(taken: Collection[str], original: str) -> str:
    """A free name for a copy: ``Main hoop 2`` after ``Main hoop``; none after none."""
    return _counted_on(taken, original[:LONGEST_NAME_STEM], " ") if original else ""


def _counted_on(taken: Collection[str], original: str, joint: str) -> str:
    stem = original.rstrip("0123456789")
    if stem and stem != original:
        return free_id(taken, stem)
    return free_id({*taken, f"{original}{joint}1"}, f"{original}{joint}")


def renamed(rig: Rig, part: PartRef, new_id: str) -> Rig:
    """The rig with another id for a node, bar, panel, link or axle; whatever names it follows.

    Raises
    ------
    RigError
        When the id is taken or is no usable one, or when there is no such part.

    """
    if part.kind == "node":
        changed = _node_renamed(rig, part.id, new_id)
    elif part.kind == "bar":
        changed = replace(rig, bars=_with_id(rig.bars, part.id, new_id, "bars"))
    elif part.kind == "panel":
        changed = replace(rig, panels=_with_id(rig.panels, part.id, new_id, "panels"))
    elif part.kind in {"link", "joint"}:
        changed = _link_renamed(rig, part, new_id)
    else:
        changed = replace(rig, axles=_with_id(rig.axles, part.id, new_id, "axles"))
    changed = replace(changed, unconfirmed=unconfirmed.renamed(rig, part, new_id))
    check_rig(changed)
    return changed


def _with_id(items: tuple[Item, ...], old: str, new: str, place: str) -> tuple[Item, ...]:
    index = _index(items, old, place)
    if new != old and any(one.id == new for one in items):
        raise RigError(f"{place}[{index}].id", f"the id “{new}” is taken by another of the {place}; choose a free one")
    changed: Item = replace(items[index], id=new)  # type: ignore[type-var]  # all of them are structs
    return (*items[:index], changed, *items[index + 1 :])


def _index(items: Sequence[_Named], item_id: str, place: str) -> int:
    for index, one in enumerate(items):
        if one.id == item_id:
            return index
    raise RigError(place, f"there is no {place.removesuffix('s')} “{item_id}” in the rig; choose another one")


def _node_renamed(rig: Rig, old: str, new: str) -> Rig:
    def named(ref: str) -> str:
        return {old: new, f"{old}'": f"{new}'"}.get(ref, ref)

    def bar_named(bar: Bar) -> Bar:
        return replace(bar, nodes=tuple(map(named, bar.nodes)))

    def panel_named(panel: Panel) -> Panel:
        return replace(panel, facets=tuple(tuple(map(named, loop)) for loop in panel.facets))

    return replace(
        rig,
        nodes=_with_id(rig.nodes, old, new, "nodes"),
        bars=_each(rig.bars, bar_named),
        panels=_each(rig.panels, panel_named),
    )


def _each(items: tuple[Item, ...], change: Callable[[Item], Item]) -> tuple[Item, ...]:
    """The changed records; those that come out equal are the same objects."""
    changes = ((one, change(one)) for one in items)
    return tuple(one if new == one else new for one, new in changes)


def _link_renamed(rig: Rig, part: PartRef, new: str) -> Rig:
    link = part.id.rpartition(".")[0] if part.kind == "joint" else part.id
    for index, axle in enumerate(rig.axles):
        for rod in axle.rods:
            if link_part(axle, rod).id == link:
                rods = _with_id(axle.rods, rod.id, new, f"axles[{index}].rods")
                return replace(rig, axles=(*rig.axles[:index], replace(axle, rods=rods), *rig.axles[index + 1 :]))
    raise RigError("axles", f"there is no link “{link}” in the rig; choose another one")
