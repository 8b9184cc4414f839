"""Values of a rig by the place where they stand: read, put in and taken out, whether or not their record is there yet.

A place is the path of fields and ids that geometry.rig.unconfirmed uses, as a tuple: ``("axles", "rear", "build",
"left", "shrink")``. A record of which nothing is known any more is taken out of the rig.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft, Gears
from geometry.rig.mass import Masses
from geometry.rig.rules import Rules

Place = tuple[str, ...]

EMPTY: Final[dict[str, Callable[[], Struct]]] = {
    "build": Build,
    "masses": Masses,
    "rules": Rules,
    "driveshaft": Driveshaft,
    "gears": Gears,
}
"""What stands for a record that is not there, as long as nothing of it is known."""


def value_at(thing: Any, place: Place) -> Any:
    """What stands at a place; None where there is nothing."""
    for step in place:
        if thing is None:
            return None
        thing = _inside(thing, step)
    return thing


def with_value(thing: Any, place: Place, value: Any) -> Any:
    """The thing with another value at a place; KeyError where the record that it belongs to is gone."""
    if not place:
        return value
    step, *rest = place
    if isinstance(thing, tuple):
        if all(each.id != step for each in thing):
            raise KeyError(step)
        return tuple(with_value(each, tuple(rest), value) if each.id == step else each for each in thing)
    inner = with_value(_inside(thing, step), tuple(rest), value)
    return replace(thing, **{step: None if step in EMPTY and inner == EMPTY[step]() else inner})


def without_record(thing: Any, place: Place) -> Any:
    """The thing without one record of a list."""
    *above, gone = place
    left = tuple(each for each in value_at(thing, tuple(above)) if each.id != gone)
    return with_value(thing, tuple(above), left)


def _inside(thing: Any, step: str) -> Any:
    if isinstance(thing, tuple):
        return next((each for each in thing if each.id == step), None)
    inner = getattr(thing, step)
    return EMPTY[step]() if inner is None and step in EMPTY else inner
