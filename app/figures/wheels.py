"""Wheel fit: where wheels and tires end up, and one outer width reached two ways."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from app.figures.figure import Figure, Group, Kind, Refusal, refusal_of
from geometry.errors import GeometryError
from geometry.plan.amount import Amount
from geometry.plan.half import SUM
from geometry.plan.wheel_fit import WheelFit, by_housing, by_offset, wheel_fit
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH

OUTER: Final = "compare/outer_width"
"""Place of the outer width to compare at: entered beside the numbers, not a part of the rig."""

LEAST_GAP: Final = 0.25 * INCH
"""Gap of the rim to brake and knuckle from which no warning is given [mm]: a wheel maker's page on wheel clearance."""

WAYS: Final = ("housing", "wheels")

_Read = Callable[[WheelFit], Amount]

ROWS: Final[tuple[tuple[str, str, Kind, _Read, str], ...]] = (
    ("width", "Wheel-mount width", "length", lambda fit: Amount(fit.width), "Mounting face to mounting face."),
    (
        *("offset", "Wheel offset", "length", lambda fit: Amount(fit.offset)),
        "Rim's centre plane to the mounting face, positive with the face outboard (a wheel maker's page).",
    ),
    (
        *("backspacing", "Backspacing", "length", lambda fit: Amount(fit.backspacing)),
        "Mounting face to the rim's inner edge: half the rim width, the flange and the offset (a wheel maker's page).",
    ),
    ("track", "Track", "length", lambda fit: Amount(fit.track), "Tire centre plane to tire centre plane (ISO 8855)."),
    (
        *("outer_width", "Outer width", "length", lambda fit: Amount(fit.outer_width)),
        "Outside of tire to outside of tire at section width; held against two drawings of complete axles.",
    ),
    (
        *("inner_width", "Between the tires", "length", lambda fit: Amount(fit.inner_width)),
        "Inside of one tire to inside of the other, at section width.",
    ),
    (
        *("outer_face", "Outer face of a tire", "length", lambda fit: Amount(fit.outer_face)),
        "From the centre plane of the vehicle.",
    ),
    (
        *("inner_face", "Inner face of a tire", "length", lambda fit: Amount(fit.inner_face)),
        "From the centre plane of the vehicle.",
    ),
    (
        *("rim_edge", "Inner edge of a rim", "length", lambda fit: Amount(fit.rim_edge)),
        "From the centre plane of the vehicle.",
    ),
    (
        *("loaded_radius", "Loaded radius", "length", lambda fit: Amount(fit.loaded_radius)),
        "Axle line to the ground at ride height, on which scrub radius and trail rest.",
    ),
    (
        *("scrub", "Scrub radius", "length", lambda fit: Amount(fit.scrub)),
        "Kingpin axis to contact centre on the ground, positive with the axis inboard (kingpin offset of ISO 8855).",
    ),
    (
        *("trail", "Trail", "length", lambda fit: Amount(fit.trail)),
        "The same fore and aft, positive with the axis ahead of the contact centre (castor offset of ISO 8855).",
    ),
    (
        *("knuckle_clearance", "Rim to knuckle", "clearance", lambda fit: fit.knuckle_clearance),
        "Inner edge of the rim to the nearest part of the knuckle or its arms, along the axle line.",
    ),
    (
        *("brake_clearance", "Rim to brake", "clearance", lambda fit: fit.brake_clearance),
        "Inside of the rim's barrel to the largest of the brake, in radius; a wheel maker asks for 1/4 in.",
    ),
)


def wheels(_rig: Rig, axle: Axle) -> Group:
    """Wheels and tires at the axle's own width."""
    return Group("wheels", "Wheel fit", (), tuple(_column(wheel_fit(axle), axle, "")))


def compare(axle: Axle, outer: float | None) -> Group:
    """The same outer width [mm] reached by the housing and by the wheels; None = no outer width is entered."""
    title, remark = "Same outer width, two ways", "Reached by a wider housing, or by wheels of another offset."
    if outer is None:
        unknown = Figure(
            "outer_width", "Outer width", Amount(None, (OUTER,)), "length",
            "Outside of tire to outside of tire that both are to reach.",
        )  # fmt: skip
        return Group("compare", title, WAYS, (unknown,), remark)
    figures: list[Figure] = []
    refused: list[Refusal] = []
    for way, reach in zip(WAYS, (by_housing, by_offset), strict=True):
        try:
            figures += _column(reach(axle, outer), axle, way)
        except GeometryError as refusal:
            refused.append(refusal_of(refusal))
    return Group("compare", title, WAYS, tuple(figures), remark, tuple(refused))


def _column(fit: WheelFit, axle: Axle, column: str) -> Iterator[Figure]:
    for key, label, kind, read, words in ROWS:
        amount = read(fit)
        steered = axle.steering is not None
        if not steered and key in {"scrub", "trail"}:
            continue
        yield Figure(key, label, amount, kind, words, column, warning=_gap_warning(key, amount))


def _gap_warning(key: str, amount: Amount) -> str:
    if not key.endswith("_clearance") or amount.value is None or amount.value >= LEAST_GAP - SUM:
        return ""
    return "they meet" if amount.value <= 0.0 else f"less than the {LEAST_GAP:g} mm that a wheel maker asks for"
