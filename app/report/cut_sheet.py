"""Cut sheets made: every number of an axle that a saw or a welder goes by, with the proof, out of geometry.plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from hashlib import sha256
from math import degrees, isfinite
from typing import Final

import msgspec
from msgspec.structs import replace

from app.files.schema import schema_of
from app.report.cut_sheet_records import (
    AngleValue,
    CheckRow,
    CutSheet,
    CutSheets,
    DoubtRow,
    LengthValue,
    MarkRow,
    MockUpRow,
    MockUpRows,
    PerchRow,
    ShaftRow,
    SideRow,
    SliderRow,
    StockRow,
    TermRow,
    WidthCheck,
)
from app.study import Study
from app.width_rules import rules_of
from app.wording import part_words, short_name
from geometry.contact.findings import Verdict
from geometry.errors import PlanError
from geometry.plan.amount import Amount, given, missing_of
from geometry.plan.as_built import Difference, as_built_report, planned
from geometry.plan.caster import clocking_of, perch_angles
from geometry.plan.cuts import STEPS, CutPlan, CutSide, Mark, cut_plan, sum_of
from geometry.plan.doubts import doubts
from geometry.plan.half import build_of, half_of
from geometry.plan.mock_up import SliderMarks, mock_up
from geometry.plan.perch import perch_fit
from geometry.plan.shafts import ShaftSide, StockShaft, shaft_plan
from geometry.plan.soundness import refusals
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt, MockUp
from geometry.rig.rig import Rig

IDENTIFICATION: Final = 12
"""Digits that tell one content from another; with the letters before them no more than the 16 signs of ISO 7200."""


class RefusedError(ValueError):
    """No cut sheet can be made; the text says what conflicts with what, and which values work, lengths in mm.

    Attributes
    ----------
    reasons : tuple of PlanError

    """

    def __init__(self, reasons: tuple[PlanError, ...]) -> None:
        super().__init__("; ".join(str(each).rstrip(".") for each in reasons))
        self.reasons = reasons


def cut_sheet(rig: Rig, axle_id: str, study: Study | None = None) -> CutSheet:
    """The cut sheet of an axle at its own width.

    Parameters
    ----------
    study : Study, optional
        The whole answer about the rig, of which the sheet says what it says of this axle.

    Raises
    ------
    KeyError
        When there is no such axle.
    RefusedError
        When its plan cannot be built.

    """
    axle = rig.axle(axle_id)
    try:
        reasons = refusals(axle)
        if not reasons:
            return _identified(rig.name, _sheet(rig, axle, study))
    except PlanError as refused:
        reasons = (refused,)
    raise RefusedError(reasons)


def cut_sheets(rig: Rig, axles: Iterable[str], study: Study | None = None) -> CutSheets:
    """The cut sheets of some axles; raises as `cut_sheet`, for the first that cannot be made."""
    sheets = tuple(cut_sheet(rig, axle, study) for axle in axles)
    return CutSheets(format="wheelroom-cut-sheet", version=1, rig=rig.name, sheets=sheets)


def cut_sheets_to_json(sheets: CutSheets) -> bytes:
    """Cut sheets for other programs, UTF-8."""
    return msgspec.json.format(msgspec.json.encode(sheets), indent=2) + b"\n"


def cut_sheet_schema_bytes() -> bytes:
    """JSON Schema (draft 2020-12) of what `cut_sheets_to_json` writes."""
    return schema_of(CutSheets, "Wheelroom cut sheet")


def _identified(rig: str, sheet: CutSheet) -> CutSheet:
    digest = sha256(msgspec.json.encode((rig, sheet))).hexdigest()
    return replace(sheet, identification=f"WR-{digest[:IDENTIFICATION].upper()}")


def _sheet(rig: Rig, axle: Axle, study: Study | None) -> CutSheet:
    plan, build = cut_plan(axle), build_of(axle)
    left, right = _side(axle, plan.left), _side(axle, plan.right)
    cuts = (amount for side in (plan.left, plan.right) for amount in (side.cut.rounded, side.tube_cut))
    caster, pinion, separation = _angles(axle)
    return CutSheet(
        axle=axle.id,
        name=axle.name,
        identification="",
        needs=missing_of(cuts),
        unconfirmed=tuple(_unconfirmed(rig, axle)),
        doubts=tuple(DoubtRow(place=each.place, mm=each.value, usual_mm=each.usual) for each in doubts(axle)),
        check=None if study is None else _checked(rig, axle, study),
        width_mm=plan.width,
        pinion_offset_mm=plan.pinion_offset,
        tube_od_mm=axle.housing.tube_od,
        datum=plan.datum,
        rounding=plan.rounding,
        step_mm=STEPS[plan.rounding],
        left=left,
        right=right,
        proof=tuple(_proof(plan)),
        proof_sum=_length(sum_of(plan.proof)),
        width_given=_length(plan.width_given),
        rounding_error=_length(plan.rounding_error),
        between_ends=_length(plan.between_ends),
        kerf=_length(given(build.kerf, f"axles/{axle.id}/build/kerf")),
        stock_needed=_length(plan.stock_needed),
        caster=caster,
        pinion=pinion,
        separation=separation,
        shafts=_shafts(axle),
        perches=tuple(_perches(axle)),
        mock_up=_mock_up(axle),
        checks=tuple(_checks(axle)),
    )


def _checked(rig: Rig, axle: Axle, study: Study) -> WidthCheck:
    answer = next(each for each in study.axles if each.axle == axle.id)
    verdicts = {each.verdict for each in answer.approaches} | ({Verdict.UNKNOWN} if answer.problem else set())
    verdict = next((each for each in Verdict if each in verdicts), Verdict.CLEAR)
    worst = answer.approaches[0] if answer.approaches else None
    if verdict is Verdict.CLEAR:  # then the closest is told, whatever is wanted of it
        worst = min(answer.approaches, key=lambda each: each.low, default=None)
    rules = [(rule, rule.at(axle.width).satisfied) for rule in rules_of(rig, axle)]
    return WidthCheck(
        verdict=verdict.value,
        moving="" if worst is None else part_words(worst.moving),
        fixed="" if worst is None else part_words(worst.fixed),
        closest_mm=worst.low if worst is not None and isfinite(worst.low) else None,
        wanted_mm=None if worst is None else worst.wanted,
        problem=answer.problem,
        rules=len(rules),
        broken=tuple(short_name(rule) for rule, holds in rules if holds is False),
        open=tuple(short_name(rule) for rule, holds in rules if holds is None),
    )


def _length(amount: Amount) -> LengthValue:
    return LengthValue(mm=amount.value, missing=amount.missing)


def _angle(amount: Amount) -> AngleValue:
    return AngleValue(deg=None if amount.value is None else degrees(amount.value), missing=amount.missing)


def _side(axle: Axle, side: CutSide) -> SideRow:
    half = half_of(axle, side.side)
    return SideRow(
        side=side.side,
        end="bearing end" if axle.steering is None else "knuckle",
        half=_length(side.half),
        centre_half=_length(half.centre_half),
        showing=_length(side.showing),
        end_addition=_length(half.end_addition),
        insertion_centre=_length(half.insertion_centre),
        insertion_end=_length(half.insertion_end),
        shrink=_length(half.shrink),
        tube=_length(side.tube),
        cut=_mark(side.cut),
        tube_cut=_length(side.tube_cut),
        marks=tuple(map(_mark, side.marks)),
    )


def _mark(mark: Mark) -> MarkRow:
    return MarkRow(name=mark.name, exact=_length(mark.exact), rounded=_length(mark.rounded))


def _proof(plan: CutPlan) -> Iterator[TermRow]:
    for exact, as_cut in zip(plan.proof, plan.proof_rounded, strict=True):
        yield TermRow(side=exact.side, part=exact.part, exact=_length(exact.value), rounded=_length(as_cut.value))


def _angles(axle: Axle) -> tuple[AngleValue, AngleValue, AngleValue]:
    """Caster, pinion angle, and both together; an axle that is not steered has but the second."""
    clocking, none = clocking_of(axle), AngleValue(deg=None, missing=())
    if clocking is None:
        return none, AngleValue(deg=axle.housing.pinion_angle_deg, missing=()), none
    caster, pinion, separation = (
        AngleValue(deg=degrees(angle), missing=()) for angle in (clocking.caster, clocking.pinion, clocking.separation)
    )
    return caster, pinion, separation


def _shafts(axle: Axle) -> tuple[ShaftRow, ...]:
    plan = shaft_plan(axle)
    return tuple(_shaft(side) for side in (plan.left, plan.right))


def _shaft(side: ShaftSide) -> ShaftRow:
    return ShaftRow(side=side.side, length=_length(side.length), stock=tuple(map(_stock, side.stock)))


def _stock(stock: StockShaft) -> StockRow:
    return StockRow(
        length_mm=stock.length,
        longer_by=_length(stock.longer_by),
        engagement=_length(stock.engagement),
        engages=stock.engages,
        width=_length(stock.width),
    )


def _perches(axle: Axle) -> Iterator[PerchRow]:
    perches = {perch.id: perch for perch in build_of(axle).perches}
    angles = {angle.perch: angle.from_pinion for angle in perch_angles(axle)}
    for place in perch_fit(axle).places:
        perch = perches[place.perch]
        yield PerchRow(
            perch=perch.id,
            name=perch.name,
            mirror=place.mirror,
            side=place.side,
            at_mm=-perch.at if place.mirror else perch.at,
            width_mm=perch.width,
            from_pinion=_length(place.from_pinion),
            from_wheel_mount=_length(place.from_wheel_mount),
            from_pinion_angle=_angle(angles[perch.id]),
        )


def _mock_up(axle: Axle) -> MockUpRows | None:
    if build_of(axle).mockup == MockUp():
        return None
    plan = mock_up(axle, dict.fromkeys((axle.width, *axle.trial_widths)))
    rows = tuple(
        MockUpRow(width_mm=row.width, fits=row.fits, left=_slider(row.left), right=_slider(row.right))
        for row in plan.rows
    )
    return MockUpRows(least_width=_length(plan.least_width), most_width=_length(plan.most_width), rows=rows)


def _slider(marks: SliderMarks) -> SliderRow:
    return SliderRow(overlap=_length(marks.overlap), from_mount=_length(marks.from_mount))


def _checks(axle: Axle) -> Iterator[CheckRow]:
    """What can be measured of cuts and welds, planned; tires are no weldment."""
    record = AsBuilt(date="2000-01-01", stage="tacked")  # an empty one, for what stands beside it
    report = as_built_report(replace(axle, as_built=record))
    assert report is not None  # noqa: S101  (there is a record)
    finished = planned(axle, "welded")
    for each in report.differences:
        if each.name not in {"tire_diameter", "section_width", "loaded_radius"}:
            yield _check(each, finished.get(each.name, each.planned))


def _check(each: Difference, finished: Amount) -> CheckRow:
    if each.name in {"caster", "pinion_angle"}:
        allowed = None if each.tolerance is None else degrees(each.tolerance)
        angle = _angle(each.planned)
        return CheckRow(
            name=each.name, length=None, angle=angle, finished=None, tolerance_mm=None, tolerance_deg=allowed
        )
    return CheckRow(
        name=each.name,
        length=_length(each.planned),
        angle=None,
        finished=_length(finished),
        tolerance_mm=each.tolerance,
        tolerance_deg=None,
    )


def _unconfirmed(rig: Rig, axle: Axle) -> Iterator[str]:
    """Values of the sheet that nobody has confirmed."""
    root = f"axles/{axle.id}/"
    counted = ("width", "build", "housing/pinion_offset", "housing/pinion_angle_deg", "housing/tube_od", "steering")
    for place in rig.unconfirmed:
        if any(f"{place}/".startswith(f"{root}{each}/") for each in counted):
            yield place
