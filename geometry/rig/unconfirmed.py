"""Values that nobody entered: where they stand, and what becomes of the marks when the rig changes.

A place is a path of fields and ids: ``nodes/n3/at``, ``axles/rear/bump``, ``axles/rear/rods/lower-left/chassis``,
``wanted/tire_bar``. A mark goes when the value at its place changes, whatever changed it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.naming import link_part
from geometry.rig.rig import Rig

_GONE: Final = object()
"""What stands at a place that names nothing."""


def carried(before: Rig, after: Rig) -> Rig:
    """A changed rig with the marks that still hold: values that are there and are what they were before."""
    if not after.unconfirmed:
        return after
    was, now = _reader(before), _reader(after)
    marked = frozenset(before.unconfirmed)
    kept = tuple(
        place
        for place in after.unconfirmed
        if now(place) is not _GONE and (place not in marked or was(place) == now(place))
    )
    return after if kept == after.unconfirmed else replace(after, unconfirmed=kept)


def confirmed(rig: Rig, places: Iterable[str]) -> Rig:
    """The rig with the values at some places taken as the builder's own."""
    given = frozenset(places)
    return replace(rig, unconfirmed=tuple(place for place in rig.unconfirmed if place not in given))


def unconfirmed_of(rig: Rig, parts: Iterable[PartRef]) -> tuple[str, ...]:
    """The unconfirmed places of some parts, those of their nodes, joints or links included."""
    if not rig.unconfirmed:
        return ()
    roots = {root for part in parts for root in _roots(rig, part)}
    return tuple(place for place in rig.unconfirmed if any(f"{place}/".startswith(f"{root}/") for root in roots))


def renamed(rig: Rig, part: PartRef, new_id: str) -> tuple[str, ...]:
    """The places of a rig as they are called once a part of it has another id."""
    roots = tuple(_roots(rig, part))
    if not rig.unconfirmed or not roots:
        return rig.unconfirmed
    old = roots[0].rpartition("/")[0] if part.kind == "joint" else roots[0]
    new = f"{old.rpartition('/')[0]}/{new_id}"
    return tuple(new + place[len(old) :] if f"{place}/".startswith(f"{old}/") else place for place in rig.unconfirmed)


def check_places(rig: Rig) -> None:
    """Refuse marks that name no value, or the same one twice.

    Raises
    ------
    RigError
        With the place of the first such mark.

    """
    value = _reader(rig)
    seen: set[str] = set()
    for index, place in enumerate(rig.unconfirmed):
        if place in seen:
            raise RigError(f"unconfirmed[{index}]", f"“{place}” is there twice; remove one")
        if value(place) is _GONE:
            raise RigError(f"unconfirmed[{index}]", f"there is no value “{place}” in the rig; remove or correct it")
        seen.add(place)


def _reader(rig: Rig) -> Callable[[str], object]:
    """What looks up the values of a rig by place, each record once."""
    found: dict[str, object] = {}

    def value(place: str) -> object:
        if place not in found:
            above, slash, step = place.rpartition("/")
            found[place] = _inside(value(above) if slash else rig, step)
        return found[place]

    return value


def _inside(holder: object, step: str) -> object:
    if isinstance(holder, Mapping):
        inside = holder.get(step, _GONE)
    elif isinstance(holder, Struct) and step in holder.__struct_fields__:
        inside = getattr(holder, step)
    else:
        return _GONE
    if isinstance(inside, tuple) and inside and isinstance(inside[0], Struct):
        return {one.id: one for one in inside}
    return inside


def _roots(rig: Rig, part: PartRef) -> tuple[str, ...]:
    """Places under which everything is that a part consists of."""
    if part.kind == "node":
        return (f"nodes/{part.id}",)
    if part.kind == "bar":
        refs = (ref for bar in rig.bars if bar.id == part.id for ref in bar.nodes)
        return (f"bars/{part.id}", *_nodes(refs))
    if part.kind == "panel":
        loops = (loop for panel in rig.panels if panel.id == part.id for loop in panel.facets)
        return (f"panels/{part.id}", *_nodes(ref for loop in loops for ref in loop))
    if part.kind in {"link", "joint"}:
        return tuple(_link_roots(rig, part))
    return (f"axles/{part.id}",)


def _nodes(refs: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys("nodes/" + ref.removesuffix("'") for ref in refs))


def _link_roots(rig: Rig, part: PartRef) -> Iterable[str]:
    link, _, end = part.id.rpartition(".") if part.kind == "joint" else (part.id, "", "")
    for axle in rig.axles:
        for rod in axle.rods:
            if link_part(axle, rod).id == link:
                yield f"axles/{axle.id}/rods/{rod.id}" + (f"/{end}" if end else "")
