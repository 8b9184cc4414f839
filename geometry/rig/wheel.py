"""Tires and wheels: size text read into numbers, every number open to be overridden by a measured one."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Final

from msgspec import Meta, Struct

from geometry.errors import RigError
from geometry.rig.parts import Label, Length

INCH: Final = 25.4
"""mm in an inch, exact (international inch)."""

LOADED_SHARE: Final = 0.96
"""Loaded over free radius when none was measured: light rig, low pressure. Common practice, no source."""

SHOULDER_SHARE: Final = 0.06
"""Shoulder radius over free radius when none was measured. Common practice, no source."""

ODD_RIM: Final = 16.5
"""The one rim that is no whole number of inches and may be less than the section width [in]: old trucks have it. Any
other such pair of numbers is a size with both swapped. Common practice, no source."""

_CODES = r"(?:[\s/]+(?:\d{2,3}(?:/\d{2,3})?)?[A-Z]\d?|[\s/]+\d{1,2}PR)*"  # load letter, load index and speed symbol
_FLOTATION = re.compile(
    r"(\d{2}(?:\.\d+)?)\s*[X×]\s*(\d{1,2}(?:\.\d+)?)\s*-?\s*[ZBD]?R?\s*(\d{2}(?:\.\d+)?)\s*(?:LT)?" + _CODES
)
_METRIC = re.compile(r"(?:LT|P|ST)?\s*(\d{3})\s*/\s*(\d{2,3})\s*-?\s*[ZBD]?R?\s*(\d{2}(?:\.\d+)?)\s*(?:LT|C)?" + _CODES)
_NUMERIC = re.compile(r"\d{1,2}[.,]\d{2}\s*-\s*\d{2}(?:[.,]\d)?" + _CODES)


@dataclass(frozen=True, slots=True)
class TireSize:
    """A size text in numbers: overall diameter, section width, rim diameter [mm]."""

    diameter: float
    section_width: float
    rim_diameter: float


@lru_cache(maxsize=64)
def read_size(text: str) -> TireSize | None:
    """Read a metric (``LT315/75R16``) or flotation (``37x12.50R17``) size; None if it is neither.

    What stands behind it, load letter or load index with speed symbol, says nothing of the shape and is passed over;
    a comma counts as a decimal point. Metric: overall diameter = 2 · width · aspect / 100 + 25.4 · rim (ISO 4000-1
    style marking). Flotation: overall diameter x section width R rim, in inches. Both are nominal: tires measure a
    few millimetres less or more.
    """
    plain = text.strip().upper().replace(",", ".")
    if found := _FLOTATION.fullmatch(plain):
        diameter, width, rim = (float(part) for part in found.groups())
        if diameter <= rim or _swapped(width, rim):
            return None
        return TireSize(diameter * INCH, width * INCH, rim * INCH)
    if found := _METRIC.fullmatch(plain):
        width, aspect, rim = (float(part) for part in found.groups())
        return TireSize(2.0 * width * aspect / 100.0 + rim * INCH, width, rim * INCH)
    return None


def _swapped(width: float, rim: float) -> bool:
    """Whether section width and rim [in] stand in each other's place: rims are whole inches, some sections are not."""
    return width > rim and rim % 1.0 > 0.0 and rim != ODD_RIM


def _unreadable(text: str) -> str:
    """Why a size text cannot be read, and what to write."""
    if _NUMERIC.fullmatch(text.strip().upper()):
        return (
            f"cannot read the tire size “{text}”, an old numeric one, for it does not tell the diameter; "
            "give diameter, section_width and rim_diameter as measured"
        )
    found = _FLOTATION.fullmatch(text.strip().upper().replace(",", "."))
    if found and _swapped(float(found[2]), float(found[3])):
        return (
            f"cannot read the tire size “{text}”, its rim of {found[3]} in is none; if section width and rim are "
            f"swapped, write {found[1]}x{found[3]}R{found[2]}"
        )
    return (
        f"cannot read the tire size “{text}”; write it like 37x12.50R17 or LT315/75R16, "
        "or give diameter, section_width and rim_diameter"
    )


class Tire(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tire by its size text; a number given here counts instead of the one the text or habit gives.

    Attributes
    ----------
    size : str
        Metric or flotation size text.
    diameter, section_width, rim_diameter : float or None
        Measured on the mounted, inflated, unloaded tire [mm]; None = as the size says.
    loaded_radius : float or None
        Axle centre to ground at ride height [mm]; None = 0.96 of the free radius.
    shoulder_radius : float or None
        Rounding between tread and sidewall [mm]; None = 0.06 of the free radius.

    """

    size: Label
    diameter: Length | None = None
    section_width: Length | None = None
    rim_diameter: Length | None = None
    loaded_radius: Length | None = None
    shoulder_radius: Length | None = None


class Wheel(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A wheel by rim width and either offset or backspacing.

    Attributes
    ----------
    rim_width : float
        Between the flanges, where the bead sits [mm].
    offset : float or None
        Rim centre plane to mounting face, positive when the face is outboard of the centre plane [mm].
    backspacing : float or None
        Mounting face to the inner rim edge [mm].
    flange : float
        Thickness of the rim's lip; half an inch is industry habit [mm].

    """

    rim_width: Length
    offset: Annotated[float, Meta(ge=-500.0, le=500.0, description="[mm]")] | None = None
    backspacing: Length | None = None
    flange: Length = 12.7


@dataclass(frozen=True, slots=True)
class TireDimensions:
    """A tire in numbers [mm]: free radius, section width, rim diameter, loaded radius, shoulder radius."""

    radius: float
    section_width: float
    rim_diameter: float
    loaded_radius: float
    shoulder_radius: float


def tire_dimensions(tire: Tire, place: str = "tire") -> TireDimensions:
    """The numbers of a tire, overrides first, then the size text, then habit.

    Raises
    ------
    RigError
        When the size text cannot be read and the numbers it should give are not all there, or when the numbers
        do not fit each other.

    """
    size = read_size(tire.size)
    if size is None and (tire.diameter is None or tire.section_width is None or tire.rim_diameter is None):
        raise RigError(f"{place}.size", _unreadable(tire.size))
    nominal = size or TireSize(0.0, 0.0, 0.0)
    radius = (tire.diameter or nominal.diameter) / 2.0
    width = tire.section_width or nominal.section_width
    rim = tire.rim_diameter or nominal.rim_diameter
    loaded = tire.loaded_radius if tire.loaded_radius is not None else LOADED_SHARE * radius
    shoulder = tire.shoulder_radius if tire.shoulder_radius is not None else SHOULDER_SHARE * radius
    if rim >= 2.0 * radius:
        raise RigError(
            f"{place}.rim_diameter", "the rim must be smaller than the tire; check diameter and rim_diameter"
        )
    if not rim / 2.0 < loaded <= radius:
        raise RigError(f"{place}.loaded_radius", "the loaded radius must lie between the rim's and the free radius")
    if 2.0 * shoulder >= width or shoulder >= radius:
        raise RigError(f"{place}.shoulder_radius", "the shoulder radius must be less than half the section width")
    return TireDimensions(radius, width, rim, loaded, shoulder)


def wheel_offset(wheel: Wheel, place: str = "wheel") -> float:
    """Offset of the wheel [mm], positive when the mounting face is outboard of the rim's centre plane.

    From backspacing: offset = backspacing − rim width / 2 − flange.

    Raises
    ------
    RigError
        When neither or both of offset and backspacing are given.

    """
    if (wheel.offset is None) == (wheel.backspacing is None):
        raise RigError(f"{place}.offset", "give either offset or backspacing, not both and not neither")
    if wheel.offset is not None:
        return wheel.offset
    assert wheel.backspacing is not None  # noqa: S101  (the line above leaves no other case)
    return wheel.backspacing - wheel.rim_width / 2.0 - wheel.flange


def track_width(width: float, wheel: Wheel) -> float:
    """Tire centre plane to tire centre plane at a wheel-mount width [mm]: width − 2 · offset."""
    return width - 2.0 * wheel_offset(wheel)


def outer_width(width: float, wheel: Wheel, tire: TireDimensions) -> float:
    """Outside to outside of the tires at a wheel-mount width [mm]: track + section width."""
    return track_width(width, wheel) + tire.section_width
