"""The command `convert`: a rig's frame out to a table or a drawing, and one of these into a rig."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.units import LengthUnit, parse_length

if TYPE_CHECKING:
    from app.files.imported import Imported
    from geometry.rig.rig import Rig

UNITS: Final = ("mm", "cm", "m", "in", "ft")
AXES: Final = ("x", "-x", "y", "-y", "z", "-z")
SIDES: Final = {"drawn": "as drawn", "both": "both sides", "one": "one side"}
"""Words of `--sides`, and what they choose."""


def add_convert_options(command: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add = command.add_argument
    add("source", type=Path, metavar="FILE", help="rig file to write from, or .csv or .dxf file to take in")
    add("--out", type=Path, metavar="FILE", help="file to write: .csv or .dxf; with --into, the rig file instead of it")
    add("--into", type=Path, metavar="RIG", help="rig file to take the table or drawing into")
    add("--unit", choices=UNITS, help="unit of the table or drawing where it names none; of a table that is written")
    add("--instead", action="store_true", help="take it in instead of the nodes, bars and panels of the rig")
    add(
        "--forward",
        choices=AXES,
        default="x",
        metavar="AXIS",
        help="axis of the drawing that points forward: x (default), y, z or, as in --forward=-y, its other end",
    )
    add("--up", choices=AXES, default="z", metavar="AXIS", help="axis of the drawing that points up (default: z)")
    add("--join", default="1 mm", metavar="LENGTH", help="distance up to which ends of lines meet (default: 1 mm)")
    add("--tube", metavar="ODxWALL", help="size of tubes whose layer names none, as in 1.75x0.120in")
    add("--layers", nargs="+", metavar="LAYER", help="layers to take; without any, all that are on")
    add(
        "--links",
        choices=("yes", "no"),
        help="whether links come in; without it they do if they fit the axles of the rig",
    )
    add("--sides", choices=SIDES, default="drawn", help="whether both sides are drawn, or one is to be mirrored")


def convert(options: argparse.Namespace) -> Iterator[str]:
    """Carry out the command; what was done, line by line.

    Raises
    ------
    ValueError
        With one sentence, when it cannot be done; nothing is written then.

    """
    from app.files.rig_file import read_rig

    if options.into is None:
        if options.out is None:
            raise ValueError("convert needs --out FILE to write to, or --into RIG to take a table or drawing in")
        write_frame(options.out, read_rig(options.source), options.unit or "mm")
        yield f"Written: {options.out.name}."
    else:
        yield from _take_in(options)


def write_frame(out: Path, rig: Rig, unit: str = "mm") -> None:
    """Write the frame of a rig as ``.csv`` in a unit, or as ``.dxf`` in mm; whole or not at all.

    Raises
    ------
    ValueError
        When the ending names neither, or the unit is not that of drawings.
    FileSaveError
        When the file cannot be written.

    """
    from app.files.saving import save_bytes

    ending = out.suffix.lower()
    if ending == ".csv":
        from app.files.csv_tables import write_tables

        save_bytes(out, write_tables(rig, unit))
    elif ending == ".dxf" and unit == "mm":
        from app.files.dxf_out import drawing_bytes

        save_bytes(out, drawing_bytes(rig))
    elif ending == ".dxf":
        raise ValueError("drawings are written in mm, and say so themselves; leave the unit out")
    else:
        raise ValueError(f"a frame is written as .csv or .dxf, and {out.name} ends in neither; choose one of these")


def _take_in(options: argparse.Namespace) -> Iterator[str]:
    from app.files.imported import ImportFileError, about_rig, joined, with_fitting_links
    from app.files.rig_file import read_rig, write_rig
    from geometry.errors import RigError

    rig = read_rig(options.into)
    out: Path = options.out or options.into
    if out.suffix.lower() != ".json":
        raise ValueError(f"a rig file ends in .json, and {out.name} does not; choose another name")
    join = parse_length(options.join, LengthUnit.MM)
    if join <= 0.0:
        raise ValueError("--join must be more than nothing")
    try:
        links = None if options.links is None else options.links == "yes"
        found = with_fitting_links(rig, _read(options, join), links)
        after = joined(rig, found, instead=options.instead, join=join)
    except (ImportFileError, RigError) as refused:
        sentence = str(refused)
        raise ValueError(f"{options.source.name}: {sentence[:1].lower()}{sentence[1:]}") from None
    write_rig(out, after)
    yield from (*found.report, *about_rig(rig, found, instead=options.instead), f"Written: {out.name}.")


def _read(options: argparse.Namespace, join: float) -> Imported:
    """What the source holds, as the options say."""
    from app.files.imported import DRAWINGS, UnitMissingError, file_bytes

    data = file_bytes(options.source)
    if options.source.suffix.lower() not in DRAWINGS:
        from app.files.csv_tables import read_tables

        return read_tables(data, options.unit)
    from app.files.drawing import Halves, usual_choices
    from app.files.dxf import read_drawing
    from app.files.from_drawing import imported_from

    drawing = read_drawing(data)
    unit = options.unit or drawing.unit
    if unit is None:
        raise UnitMissingError("The drawing does not say its unit; give it with --unit, as in --unit in.")
    choices = usual_choices(drawing, unit)
    layers = choices.layers if options.layers is None else _known(options.layers, drawing.layers)
    chosen = replace(
        choices,
        forward=options.forward,
        up=options.up,
        join=join,
        tube=choices.tube if options.tube is None else _tube(options.tube, unit),
        layers=layers,
        halves=Halves(SIDES[options.sides]),
    )
    return imported_from(drawing, chosen)


def _known(layers: list[str], known: Iterable[str]) -> frozenset[str]:
    """Layers that are asked for; each must be there."""
    from app.files.imported import ImportFileError
    from geometry.rig.structure import did_you_mean

    there = sorted(known)
    for layer in layers:
        if layer not in there:
            listed = ", ".join(there) or "none"
            raise ImportFileError(
                f"There is no layer “{layer}”{did_you_mean(layer, there)} with lines on it; it has {listed}."
            )
    return frozenset(layers)


def _tube(text: str, unit: str) -> tuple[float, float]:
    from app.files.drawing import tube_of_layer

    size = tube_of_layer(text, unit)
    if size is None:
        raise ValueError(f"--tube: “{text}” is no size of a tube; write it like 1.75x0.120in or 40x2.5mm")
    return size
