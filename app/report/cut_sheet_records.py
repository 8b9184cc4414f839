"""What a cut sheet holds, as records: lengths in mm, angles in degrees, and every key says so.

What is not known is null and says which values of the rig it needs. A key is only ever added under the same version.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct

from geometry.plan.as_built import Measured
from geometry.plan.cuts import MarkName, Part
from geometry.plan.half import PlanSide
from geometry.rig.build import Datum, Rounding

Places = Annotated[
    tuple[str, ...], Meta(description="Places of values in the rig, as in axles/rear/build/left/end_addition.")
]


class LengthValue(Struct, frozen=True, kw_only=True):
    """A length, or what it needs.

    Attributes
    ----------
    mm : float or null
        Null = unknown.
    missing : list
        Empty = known.

    """

    mm: float | None
    missing: Places


class AngleValue(Struct, frozen=True, kw_only=True):
    """An angle, or what it needs; see LengthValue."""

    deg: float | None
    missing: Places


class MarkRow(Struct, frozen=True, kw_only=True):
    """A place along one side, from the datum outboard, or from the tube's outer end inboard, on the tacked axle."""

    name: MarkName
    exact: LengthValue
    rounded: LengthValue


class SideRow(Struct, frozen=True, kw_only=True):
    """One side of the axle.

    Attributes
    ----------
    end : str
        What is welded to the outer end of the tube.
    half : LengthValue
        Pinion centreline to wheel mounting face of the finished axle.
    showing : LengthValue
        Bare tube of the finished axle.
    tube, tube_cut : LengthValue
        Length of the tube, exact and as it goes with the rounded cut.
    cut : MarkRow
        What the saw goes by: from the datum to the tube's outer end, or the tube's whole length.
    marks : list
        Every other place, inner ones first.

    """

    side: PlanSide
    end: Literal["bearing end", "knuckle"]
    half: LengthValue
    centre_half: LengthValue
    showing: LengthValue
    end_addition: LengthValue
    insertion_centre: LengthValue
    insertion_end: LengthValue
    shrink: LengthValue
    tube: LengthValue
    cut: MarkRow
    tube_cut: LengthValue
    marks: tuple[MarkRow, ...]


class TermRow(Struct, frozen=True, kw_only=True):
    """One summand of the proof, exact and with the rounded cut; what is taken off has a minus sign."""

    side: PlanSide
    part: Part
    exact: LengthValue
    rounded: LengthValue


class StockRow(Struct, frozen=True, kw_only=True):
    """What a stock shaft would give.

    Attributes
    ----------
    longer_by : LengthValue
        Than the length of the plan; negative = shorter.
    engagement : LengthValue
        How far its splines would go in at the planned width.
    engages : bool or null
        Whether there are such splines and room for them; null = unknown.
    width : LengthValue
        Of the axle that it would fit with the planned engagement, the other side as it is.

    """

    length_mm: float
    longer_by: LengthValue
    engagement: LengthValue
    engages: bool | None
    width: LengthValue


class ShaftRow(Struct, frozen=True, kw_only=True):
    """One axle shaft, the nearest stock lengths first."""

    side: PlanSide
    length: LengthValue
    stock: tuple[StockRow, ...]


class PerchRow(Struct, frozen=True, kw_only=True):
    """A perch or bracket, or its mirror image, on the finished axle.

    Attributes
    ----------
    side : str
        On which tube, seen from the pinion.
    at_mm : float
        Its middle from the vehicle's centre plane, left positive.
    from_pinion, from_wheel_mount : LengthValue
        Its middle from the pinion's centreline, and from the wheel mounting face of that side.
    from_pinion_angle : AngleValue
        Pinion angle less seat angle, both counted with the pinion's end up.

    """

    perch: str
    name: str
    mirror: bool
    side: PlanSide
    at_mm: float
    width_mm: float
    from_pinion: LengthValue
    from_wheel_mount: LengthValue
    from_pinion_angle: AngleValue


class SliderRow(Struct, frozen=True, kw_only=True):
    """A slider of the mock-up: how much of it is in the sleeve, and the sleeve's mouth from the wheel mounting face."""

    overlap: LengthValue
    from_mount: LengthValue


class MockUpRow(Struct, frozen=True, kw_only=True):
    """The mock-up set to a width; `fits` is null where that is unknown."""

    width_mm: float
    fits: bool | None
    left: SliderRow
    right: SliderRow


class MockUpRows(Struct, frozen=True, kw_only=True):
    """The mock-up at the width of the sheet, then at those of the trial list."""

    least_width: LengthValue
    most_width: LengthValue
    rows: tuple[MockUpRow, ...]


class CheckRow(Struct, frozen=True, kw_only=True):
    """What is measured on the axle that was made, beside the plan.

    Attributes
    ----------
    length, angle : LengthValue, AngleValue
        What is planned while tacked: one of both, the other null.
    finished : LengthValue or null
        What is planned once welded; null = an angle, which is the same.
    tolerance_mm, tolerance_deg : float or null
        What is allowed either way; null = nothing is said.

    """

    name: Measured
    length: LengthValue | None
    angle: AngleValue | None
    finished: LengthValue | None
    tolerance_mm: float | None
    tolerance_deg: float | None


class WidthCheck(Struct, frozen=True, kw_only=True):
    """What the check over the whole travel says of the axle at this width, as planned.

    Attributes
    ----------
    verdict : str
        The worst that any pair of the axle shows.
    moving, fixed : str
        The pair with the worst margin, or, where all clear, the closest one; empty = there is none.
    closest_mm : float or null
        Its guaranteed clearance, negative = overlap; null = not established.
    wanted_mm : float or null
        What is wanted of that pair.
    problem : str
        Why nothing could be checked; empty = it could.
    rules : int
        Rules beside clearance that the rig has for this width.
    broken : list
        Those that this width breaks.
    open : list
        Those of which that cannot be told.

    """

    verdict: Literal["clear", "tight", "contact", "unknown"]
    moving: str
    fixed: str
    closest_mm: float | None
    wanted_mm: float | None
    problem: str
    rules: int
    broken: tuple[str, ...]
    open: tuple[str, ...]


class DoubtRow(Struct, frozen=True, kw_only=True):
    """A value over what is usual, as a unit that slipped makes it."""

    place: str
    mm: float
    usual_mm: float


class CutSheet(Struct, frozen=True, kw_only=True):
    """The cut sheet of one axle.

    Attributes
    ----------
    identification : str
        Tells this content from any other.
    needs : list
        What tubes cannot be cut without; empty = the sheet is complete.
    unconfirmed : list
        Values that the program filled in and nobody has confirmed.
    doubts : list
        Values over what is usual.
    check : WidthCheck or null
        Null = this width was not checked.
    tube_od_mm : float
        Outside diameter of the tubes.
    pinion_offset_mm : float
        Pinion centreline from the vehicle's centre plane, left positive.
    proof : list
        All parts of the finished axle from left to right.
    proof_sum, width_given : LengthValue
        What the exact and the rounded parts add up to.
    rounding_error : LengthValue
        `width_given` less the width.
    between_ends : LengthValue
        Between the faces of both ends that the tubes meet, on the finished axle.
    stock_needed : LengthValue
        Tube for both pieces from one length, with a saw cut behind each.
    separation : AngleValue
        Caster and pinion angle together, as the welds hold them; null and nothing missing = the axle is not steered.
    mock_up : MockUpRows or null
        Null = none is described.
    checks : list
        What to measure on the tacked and on the welded axle.

    """

    axle: str
    name: str
    identification: str
    needs: Places
    unconfirmed: Places
    doubts: tuple[DoubtRow, ...]
    check: WidthCheck | None
    width_mm: float
    pinion_offset_mm: float
    tube_od_mm: float
    datum: Datum
    rounding: Rounding
    step_mm: float
    left: SideRow
    right: SideRow
    proof: tuple[TermRow, ...]
    proof_sum: LengthValue
    width_given: LengthValue
    rounding_error: LengthValue
    between_ends: LengthValue
    kerf: LengthValue
    stock_needed: LengthValue
    caster: AngleValue
    pinion: AngleValue
    separation: AngleValue
    shafts: tuple[ShaftRow, ...]
    perches: tuple[PerchRow, ...]
    mock_up: MockUpRows | None
    checks: tuple[CheckRow, ...]

    @property
    def complete(self) -> bool:
        """Whether both tubes can be cut by it."""
        return not self.needs

    @property
    def sides(self) -> tuple[SideRow, SideRow]:
        """Left and right side."""
        return self.left, self.right


class CutSheets(Struct, frozen=True, kw_only=True):
    """A file of cut sheets."""

    format: Literal["wheelroom-cut-sheet"]
    version: Literal[1]
    rig: str
    sheets: tuple[CutSheet, ...]
