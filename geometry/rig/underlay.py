"""Pictures behind the views: a photo or drawing, to scale, to draw over. They touch nothing and count for nothing."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, pi, radians, sin
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.parts import Coordinate, Id
from geometry.tolerances import COINCIDENT

ViewKey = Literal["side", "front", "top"]
Place = tuple[float, float]
"""A point of a view: to the viewer's right and down [mm]."""

FINEST: Final = 1e-4
"""Smallest scale of a picture [mm per pixel]: a whole photo would be a few tenths of a millimetre wide."""


class Underlay(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A picture behind one view.

    Attributes
    ----------
    file : str
        Path from the folder of the rig file, with forward slashes; it never leads out of that folder.
    sha256 : str
        Digest of the file's content when it was placed: another picture under the same name is told.
    page : int
        Page of a PDF; 1 for everything else.
    right, down : float
        The picture's upper left corner in the view, to the viewer's right and down from the rig's origin [mm].
    mm_per_pixel : float
        Its scale.
    turn_deg : float
        Turn about that corner, clockwise [degrees].
    fade : float
        0 = as it is, 1 = not to be seen.

    """

    id: Id
    view: ViewKey
    file: Annotated[str, Meta(min_length=1, max_length=255)]
    sha256: Annotated[str, Meta(pattern=r"^[0-9a-f]{64}(?!\n)$", description="Digest of the file's content.")]
    page: Annotated[int, Meta(ge=1, le=9999)] = 1
    right: Coordinate = 0.0
    down: Coordinate = 0.0
    mm_per_pixel: Annotated[float, Meta(ge=FINEST, le=1000.0, description="[mm]")] = 1.0
    turn_deg: Annotated[float, Meta(ge=-180.0, le=180.0, description="[degrees]")] = 0.0
    fade: Annotated[float, Meta(ge=0.0, le=1.0)] = 0.4
    locked: bool = False
    shown: bool = True


def check_file(name: str, place: str) -> None:
    """Refuse a file name that leads out of the folder of the rig file.

    Raises
    ------
    RigError
        With place and remedy.

    """
    parts = name.split("/")
    if "\\" in name or ":" in name or "\0" in name or any(part in {"", ".", ".."} for part in parts):
        raise RigError(
            place,
            f"“{name}” is no path inside the folder of the rig file; put the picture there and name it with forward "
            "slashes",
        )


def scaled(underlay: Underlay, one: Place, other: Place, distance: float) -> Underlay:
    """The picture at the scale at which two places of it are `distance` apart; the first stays where it is [mm].

    Raises
    ------
    RigError
        When the places are too near each other, or the picture would become too small or too large.

    """
    apart = hypot(other[0] - one[0], other[1] - one[1])
    if apart <= COINCIDENT:
        raise RigError("underlays", "two places that are apart are needed; pick them again")
    if distance <= COINCIDENT:
        raise RigError("underlays", "a length must be more than nothing; type what it is in truth")
    factor = distance / apart
    scale = underlay.mm_per_pixel * factor
    if not FINEST <= scale <= 1000.0:
        raise RigError(
            "underlays", f"the picture's scale would become {scale:g} mm a pixel; check the distance that was entered"
        )
    right, down = (
        old + (corner - old) * factor for old, corner in zip(one, (underlay.right, underlay.down), strict=True)
    )
    return replace(underlay, mm_per_pixel=scale, right=right, down=down)


def levelled(underlay: Underlay, one: Place, other: Place) -> Underlay:
    """The picture turned about the first place so that the other lies level with it, or upright, whichever is nearer.

    Raises
    ------
    RigError
        When the places are too near each other.

    """
    across, along = other[0] - one[0], other[1] - one[1]
    if hypot(across, along) <= COINCIDENT:
        raise RigError("underlays", "two places that are apart are needed; pick them again")
    angle = atan2(along, across)
    turn = round(angle / (pi / 2.0)) * (pi / 2.0) - angle
    right, down = _turned((underlay.right, underlay.down), one, turn)
    # Kept between -180 and 180, as the file wants it.
    whole = (underlay.turn_deg + degrees(turn) + 180.0) % 360.0 - 180.0
    return replace(underlay, turn_deg=whole, right=right, down=down)


def shifted(underlay: Underlay, one: Place, other: Place) -> Underlay:
    """The picture moved so that what lay at the first place lies at the other."""
    return replace(underlay, right=underlay.right + other[0] - one[0], down=underlay.down + other[1] - one[1])


def turned(underlay: Underlay, turn_deg: float, middle: Place) -> Underlay:
    """The picture at another turn, turned about a place [degrees, mm]."""
    right, down = _turned((underlay.right, underlay.down), middle, radians(turn_deg - underlay.turn_deg))
    return replace(underlay, turn_deg=turn_deg, right=right, down=down)


def _turned(place: Place, about: Place, angle: float) -> Place:
    across, along = place[0] - about[0], place[1] - about[1]
    return (
        about[0] + across * cos(angle) - along * sin(angle),
        about[1] + across * sin(angle) + along * cos(angle),
    )
