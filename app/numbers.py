"""The command `numbers`: everything that follows from the widths of a rig, as text or JSON."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.figures.figure import Group
    from app.units import LengthUnit
    from geometry.rig.axle import Axle
    from geometry.rig.rig import Rig


def add_numbers_options(command: argparse.ArgumentParser) -> None:
    """The options of the command beside those that name a rig."""
    command.add_argument("--axle", metavar="ID", help="this axle only; otherwise one after the other")
    command.add_argument("--outer", metavar="LENGTH", help="outer width to reach by housing and by wheel offset")
    command.add_argument(
        "--json", action="store_true", help="print JSON: lengths in mm, angles in degrees, masses in kg"
    )


def numbers_of(rig: Rig, axles: Sequence[Axle], outer: float | None) -> list[list[Group]]:
    """All groups of some axles; `outer` is the outer width to compare at [mm]."""
    from app.figures.groups import groups

    return [list(groups(rig, axle.id, outer)) for axle in axles]


def number_lines(rig: Rig, axles: Sequence[Axle], found: list[list[Group]], unit: LengthUnit) -> Iterator[str]:
    """The groups of some axles as text, axle by axle."""
    from app.figures.words import text_of

    for number, (axle, groups) in enumerate(zip(axles, found, strict=True)):
        yield from ("", "") if number else ()
        yield text_of(rig, axle.id, groups, unit).rstrip("\n")


def numbers_to_json(rig: Rig, axles: Sequence[Axle], found: list[list[Group]]) -> bytes:
    """The same as JSON, UTF-8."""
    import msgspec

    from app.figures.as_data import groups_as_data

    told = [{"axle": axle.id, "groups": groups_as_data(groups)} for axle, groups in zip(axles, found, strict=True)]
    return msgspec.json.format(msgspec.json.encode({"rig": rig.name, "axles": told}), indent=2) + b"\n"


def can_be_built(found: list[list[Group]]) -> bool:
    """Whether no group is refused."""
    return not any(group.refusals for groups in found for group in groups)
