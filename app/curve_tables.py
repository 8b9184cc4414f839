"""The command `curves`: every quantity of an axle over travel or steer, as a table."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from geometry.rig.axle import Axle
    from geometry.rig.rig import Rig

AGAINST: Final = ("straight", "crossed", "steer")
"""As `app.curves.quantity.WAYS`, which would load too much to print a help."""


def add_curve_options(command: argparse.ArgumentParser) -> None:
    """The options of the command beside those that name a rig."""
    command.add_argument("--axle", required=True, metavar="ID", help="the axle")
    command.add_argument(
        "--against",
        choices=AGAINST,
        default=AGAINST[0],
        help="over straight travel (default), crossed travel, or steer at ride height",
    )
    command.add_argument("--out", required=True, type=Path, metavar="FILE", help="file ending in .csv")


def write_curves(path: Path, rig: Rig, axle: Axle, against: str) -> int:
    """Write the curves of an axle; returns how many quantities it has. The file appears whole or not at all.

    Raises
    ------
    ValueError
        When the ending is another one, or there is nothing to tell over steer.
    FileSaveError
        When the file cannot be written.

    """
    from app.curves.as_csv import curves_to_csv
    from app.curves.catalogue import curves
    from app.curves.quantity import WAYS
    from app.files.saving import save_bytes

    if path.suffix.lower() != ".csv":
        raise ValueError(f"curves end in .csv, and “{path.name}” does not; choose such a name")
    way = next(each for each in WAYS if each == against)
    if way == "steer" and axle.steering is None:
        raise ValueError(f"the axle {axle.id} does not steer; ask for straight or crossed travel instead")
    found = curves(rig, axle, way)
    save_bytes(path, curves_to_csv(found))
    return len(found.found)
