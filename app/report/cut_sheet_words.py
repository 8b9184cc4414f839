"""A cut sheet in words: how its lengths are told, and the rows of its tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor
from typing import Final

from app.figures.cuts import DATUMS, rounding_words
from app.figures.places import axle_words, place_words
from app.report.cut_sheet_records import (
    AngleValue,
    CutSheet,
    DoubtRow,
    LengthValue,
    MarkRow,
    PerchRow,
    ShaftRow,
    SideRow,
    StockRow,
    WidthCheck,
)
from app.typeset import minus
from app.units import LengthUnit, format_angle, format_clearance, format_length, format_wanted
from geometry.plan.as_built import Measured
from geometry.plan.cuts import MarkName, Part
from geometry.rig.build import Datum
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH

UNKNOWN: Final = "unknown"

TAPE: Final = 1 / 32
"""Finest step of a tape in inches [in]."""

NOISE: Final = 6
"""Decimals to which a length is told at all [mm], so that equal lengths read the same however they were worked out."""

SCRIBED: Final = 0.02
"""Up to this a fraction of an inch tells a length exactly [mm]: the width of a scribed line is more."""

SHOWN: Final = 2
"""Stock shafts that go on the page, the nearest ones; the CSV and JSON forms have all."""

SAME_ANGLE: Final = 0.05
"""Under this a seat counts as parallel to the pinion [degrees]: half of what an angle is told to."""

ACROSS: Final = 7
"""Widths of the mock-up beside each other."""

CAUTIONS: Final = (
    "CAUTION: axles, steering, brakes and welds carry lives; have a qualified person judge design and welds.",
    "This sheet says nothing of strength.",
    "No heat, weld or bend on steering parts but as their maker allows.",
    "Tack, then measure again before you weld: shrinkage is an estimate.",
    "Measure your own assembled ends, left and right.",
)
"""Common practice, no source."""

WARNINGS: Final = {
    "contact": "THIS WIDTH TOUCHES",
    "unknown": "CLEARANCE NOT ESTABLISHED AT THIS WIDTH",
    "tight": "LESS CLEARANCE THAN IS WANTED AT THIS WIDTH",
}
"""What is printed over a sheet whose width does not clear, by verdict."""

CUT_WORDS: Final[dict[Datum, str]] = {
    "pinion": "CUT to tube's end",
    "centre-face": "CUT to tube's end",
    "tube-end": "CUT, whole tube",
}
MARK_WORDS: Final[dict[MarkName, str]] = {
    "pinion": "Pinion centreline",
    "tube_inner_end": "Inner end of tube",
    "centre_face": "Face of centre section",
    "end_face": "Face of {}",
    "tube_end": "Outer end of tube",
    "wheel_mount": "Wheel mounting face",
}
PART_WORDS: Final[dict[Part, str]] = {
    "end_addition": "{side} {end}",
    "insertion_end": "less {side} tube inside it",
    "shrink": "less {side} weld shrinkage",
    "cut": "{side} cut",
    "insertion_centre": "less {side} tube inside centre",
    "centre_half": "{side} half of centre section",
}
CHECK_WORDS: Final[dict[Measured, str]] = {
    "width": "width",
    "half_left": "left half",
    "half_right": "right half",
    "halves": "both halves",
    "pinion_offset": "offset, left +",
    "mark_left": "left cut",
    "mark_right": "right cut",
    "caster": "caster",
    "pinion_angle": "pinion, up +",
    "tire_diameter": "tire",
    "section_width": "section",
    "loaded_radius": "loaded radius",
}


@dataclass(frozen=True, slots=True)
class Told:
    """A length in both systems, the unit that comes first first."""

    first: str
    second: str

    @property
    def together(self) -> str:
        """On one line."""
        return self.first if self.first == self.second else f"{self.first} ({self.second})"


@dataclass(frozen=True, slots=True)
class Pair:
    """A label and what stands beside it; `strong` = a length that something is made to."""

    label: str
    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """A small table: its title and its lines."""

    title: str
    pairs: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A table over the width of the page: its title and its rows, the first cell of each a label."""

    title: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Banner:
    """What stands over everything else, in a frame: a warning and its reason, and what a command ends with for it."""

    title: str
    words: str
    status: int = 0


class Wording:
    """Tells the numbers of a sheet in a unit, and what the unknown ones need.

    Parameters
    ----------
    rig : Rig
        For the names of its parts.

    """

    def __init__(self, rig: Rig, sheet: CutSheet, unit: LengthUnit) -> None:
        self.rig = rig
        self.sheet = sheet
        self.unit = unit
        self.step = 1 / 16 if sheet.rounding == "1/16 in" else TAPE
        self.metric = unit is LengthUnit.MM or sheet.rounding == "0.5 mm"  # a tape in mm is read in mm

    def told(self, mm: float | None) -> Told:
        """A length in both systems, that of the tape first; a fraction that is not exact says so."""
        if mm is None:
            return Told(UNKNOWN, UNKNOWN)
        mm = round(mm, NOISE)
        inches, metric = self.inches(mm), minus(format_length(mm, LengthUnit.MM))
        return Told(metric, inches) if self.metric else Told(inches, metric)

    def inches(self, mm: float) -> str:
        """A length in the inches that the sheet uses."""
        if self.unit is LengthUnit.INCH:
            return minus(format_length(mm, LengthUnit.INCH))
        near = floor(abs(mm) / INCH / self.step + 0.5) * self.step * INCH
        about = "" if abs(abs(mm) - near) <= SCRIBED else "≈ "
        return minus(about + format_length(mm, LengthUnit.FRACTION, step=self.step))

    def fine(self, mm: float) -> str:
        """A length too small for a tape, in decimals."""
        return minus(f"{mm:z.2f} mm" if self.metric else f"{mm / INCH:z.3f} in")

    def length(self, value: LengthValue) -> str:
        """A length in both systems, or what it needs."""
        return self.needs(value.missing) if value.mm is None else self.told(value.mm).together

    def length_first(self, value: LengthValue, *, fine: bool = False) -> str:
        """A length in the system that comes first, or what it needs; a fine one is too small for a tape."""
        if value.mm is None:
            return self.needs(value.missing)
        return self.fine(value.mm) if fine else self.told(value.mm).first

    def angle(self, value: AngleValue) -> str:
        """An angle, or what it needs."""
        return self.needs(value.missing) if value.deg is None else minus(format_angle(value.deg))

    def needs(self, places: Sequence[str]) -> str:
        """That something is unknown, and for want of what."""
        return f"{UNKNOWN}: needs {self.places(places)}"

    def places(self, places: Sequence[str]) -> str:
        """Places of values in words; that they are of this axle need not be said."""
        return places_of(self.rig, self.sheet.axle, places)

    # Warnings

    def banners(self) -> Iterator[Banner]:
        """What nobody may miss who is about to cut."""
        sheet = self.sheet
        if not sheet.complete:
            needs = f"Unknown, and needed to cut the tubes: {self.places(sheet.needs)}."
            yield Banner("INCOMPLETE: DO NOT CUT BY THIS SHEET", needs, 2)
        if sheet.check is not None and (title := WARNINGS.get(sheet.check.verdict)):
            yield Banner(title, self._checked(sheet.check), 2 if sheet.check.verdict == "unknown" else 1)
        if sheet.check is not None and sheet.check.broken:
            yield Banner("THIS WIDTH BREAKS A RULE OF THE RIG", f"{'; '.join(sheet.check.broken)}.".capitalize(), 1)
        if sheet.unconfirmed:
            what = f"Filled in by the program, measured by nobody: {self.places(sheet.unconfirmed)}."
            yield Banner("NOT CONFIRMED: MEASURE BEFORE YOU CUT", what)
        if sheet.doubts:
            odd = "; ".join(map(self._odd, sheet.doubts))
            yield Banner("UNUSUAL: IS IT IN THE RIGHT UNIT?", f"{odd}.".capitalize())

    def _odd(self, doubt: DoubtRow) -> str:
        usual = self.told(doubt.usual_mm).first
        return f"{self.places([doubt.place])} {self.told(doubt.mm).together}, seldom over {usual}"

    def check_line(self) -> str:
        """What the check of this width says, in a line; empty where a banner says it."""
        check = self.sheet.check
        if check is None:
            return "Not checked over the travel."
        if check.verdict in WARNINGS:
            return ""
        gap = "" if check.closest_mm is None else f", closest {format_clearance(check.closest_mm, self.unit)}"
        held = check.rules - len(check.broken) - len(check.open)
        rules = f"; {held} of {check.rules} rules hold" if check.rules else ""
        unknown = f", unknown: {', '.join(check.open)}" if check.open else ""
        return f"Clear over the whole travel{gap}{rules}{unknown}."

    def _checked(self, check: WidthCheck) -> str:
        """What is wrong with a width that is not clear."""
        if check.problem:
            return f"{check.problem[:1].upper()}{check.problem[1:].rstrip('.')}."
        if check.closest_mm is None:
            return f"{check.moving} to {check.fixed} could not be settled.".capitalize()
        gap = format_clearance(abs(check.closest_mm), self.unit, up=check.closest_mm < 0.0)
        if check.verdict == "contact":
            return f"{check.moving} meets {check.fixed} by {gap}.".capitalize()
        wanted = "" if check.wanted_mm is None else f", and {format_wanted(check.wanted_mm, self.unit)} is wanted"
        return f"{check.moving} comes within {gap} of {check.fixed}{wanted}.".capitalize()

    # Tables

    def marks_title(self) -> str:
        """What the table of marks is measured from, and how it is rounded."""
        sense = "inward, outward −" if self.sheet.datum == "tube-end" else "outward, inward −"
        rounding = rounding_words(self.sheet.rounding)
        return f"Marks before welding, from {DATUMS[self.sheet.datum]} {sense}; {rounding}"

    def mark_rows(self) -> Iterator[tuple[str, Told, Told]]:
        """What to cut and to mark on both sides, the cut first; the datum itself is left out."""
        left, right = self.sheet.sides
        yield CUT_WORDS[self.sheet.datum], self.told(left.cut.rounded.mm), self.told(right.cut.rounded.mm)
        if self.sheet.datum != "tube-end":
            yield "TUBE, whole length", self.told(left.tube_cut.mm), self.told(right.tube_cut.mm)
        for one, other in zip(left.marks, right.marks, strict=True):
            if not _is_datum(one):
                words = MARK_WORDS[one.name].format(left.end)
                yield words, self.told(one.rounded.mm), self.told(other.rounded.mm)

    def proof_rows(self) -> Iterator[tuple[str, ...]]:
        """Part, then inches and mm as planned and as cut, from left to right, and what they add up to."""
        sheet = self.sheet
        ends = {side.side: side.end for side in sheet.sides}
        for term in sheet.proof:
            words = PART_WORDS[term.part].format(side=term.side, end=ends[term.side])
            yield words[0].upper() + words[1:], *_summand(term.exact.mm), *_summand(term.rounded.mm)

    def proof_totals(self) -> Iterator[tuple[str, ...]]:
        """What the parts add up to, the width that was asked for, and the difference of both."""
        sheet, asked = self.sheet, _summand(self.sheet.width_mm)
        yield "They add up to", *_summand(sheet.proof_sum.mm), *_summand(sheet.width_given.mm)
        yield "Width asked for", *asked, *asked
        off = None if sheet.proof_sum.mm is None else sheet.proof_sum.mm - sheet.width_mm
        yield "Rounding error", *_summand(off), *_summand(sheet.rounding_error.mm)

    def check_columns(self) -> Iterator[tuple[str, str, str, str]]:
        """What is measured afterwards, what is planned while tacked and once welded, and its tolerance."""
        for check in self.sheet.checks:
            if check.length is not None:
                assert check.finished is not None  # noqa: S101  (of a length there are both)
                tacked, welded = (self.told(each.mm).first for each in (check.length, check.finished))
                within = "" if check.tolerance_mm is None else f"± {self._tolerance(check.tolerance_mm)}"
            else:
                assert check.angle is not None  # noqa: S101  (it is one or the other)
                tacked = welded = UNKNOWN if check.angle.deg is None else minus(format_angle(check.angle.deg))
                within = "" if check.tolerance_deg is None else f"± {check.tolerance_deg:.2g}°"
            yield CHECK_WORDS[check.name], tacked, welded, within

    def _tolerance(self, mm: float) -> str:
        return f"{mm:g} mm" if self.metric else f"{mm / INCH:.3f} in"

    def blocks(self) -> Iterator[Block]:
        """What else there is to say, the most important first."""
        yield self._saw()
        yield self._angles()
        yield Block(
            "Axle shafts, and nearest stock", tuple(pair for shaft in self.sheet.shafts for pair in self._shaft(shaft))
        )
        if self.sheet.perches:
            yield Block(
                "Brackets: from mount, pinion; seat's pinion end",
                tuple(map(self._perch, self.sheet.perches)),
            )

    def _saw(self) -> Block:
        sheet = self.sheet
        return Block(
            "Tube and saw",
            (
                Pair("Diameter", self.told(sheet.tube_od_mm).first),
                Pair("Kerf", self.length_first(sheet.kerf, fine=True)),
                Pair("Stock", self.length_first(sheet.stock_needed)),
                Pair("Ends apart", self.length_first(sheet.between_ends)),
            ),
        )

    def _shaft(self, shaft: ShaftRow) -> Iterator[Pair]:
        known = shaft.length.mm is not None
        yield Pair(f"{shaft.side.capitalize()} shaft", self.length(shaft.length), strong=known)
        for stock in shaft.stock[:SHOWN]:
            yield Pair(f"  stock {self.told(stock.length_mm).first}", self._stock(stock))

    def _stock(self, stock: StockRow) -> str:
        longer, fits = stock.longer_by.mm, {True: "fits", False: "does not fit", None: "fit unknown"}[stock.engages]
        if longer is None:
            return fits
        engaged = "" if stock.engagement.mm is None else f", {self.told(stock.engagement.mm).first} engaged"
        return f"{self.told(abs(longer)).first} {'long' if longer >= 0.0 else 'short'}{engaged}, {fits}"

    def perch_letters(self) -> dict[str, str]:
        """The letter of each perch in the drawing."""
        ids = dict.fromkeys(perch.perch for perch in self.sheet.perches)
        return {each: chr(ord("A") + number) if number < 26 else str(number + 1) for number, each in enumerate(ids)}

    def _perch(self, perch: PerchRow) -> Pair:
        text = self.length_first(perch.from_wheel_mount)
        if perch.from_pinion.mm is not None:
            text += f", {self.told(perch.from_pinion.mm).first}"
        if (lower := perch.from_pinion_angle.deg) is not None:
            level = f"{format_angle(abs(lower))} {'lower' if lower > 0.0 else 'higher'}"
            text += f"; {level if abs(lower) >= SAME_ANGLE else 'level with it'}"
        letter = self.perch_letters()[perch.perch]
        return Pair(f"{letter} {perch.side} {perch.name or perch.perch}", text)

    def _angles(self) -> Block:
        sheet = self.sheet
        pairs = [Pair("Pinion, up +", self.angle(sheet.pinion))]
        if sheet.left.end == "knuckle":
            pairs += [Pair("Caster", self.angle(sheet.caster)), Pair("As welded", self.angle(sheet.separation))]
        return Block("Angles at ride height", tuple(pairs))

    def mock_up(self) -> Iterator[Grid]:
        """The mock-up at the width of the sheet and at those of the trial list."""
        mock_up = self.sheet.mock_up
        if mock_up is None:
            return
        low, high = (self.told(each.mm).first for each in (mock_up.least_width, mock_up.most_width))
        reach = f"it reaches {low} to {high}" if low != UNKNOWN else self.length(mock_up.least_width)
        for first in range(0, len(mock_up.rows), ACROSS):
            rows = mock_up.rows[first : first + ACROSS]
            widths = tuple(
                self.told(row.width_mm).first + {True: "", False: " ✗", None: " ?"}[row.fits] for row in rows
            )
            yield Grid(
                f"Sliding mock-up: how much of a slider is in the sleeve; {reach}",
                (
                    ("Width", *widths),
                    ("Left", *(self.told(row.left.overlap.mm).first for row in rows)),
                    ("Right", *(self.told(row.right.overlap.mm).first for row in rows)),
                ),
            )


def places_of(rig: Rig, axle: str, places: Sequence[str]) -> str:
    """Places of values in words, as a list in a sentence that is about that axle."""
    tail = f" of the {axle_words(rig, axle)}"
    return ", ".join(place_words(rig, place).removesuffix(tail) for place in places)


def side_words(side: SideRow) -> str:
    """A side's name in large letters."""
    return side.side.upper()


def _is_datum(mark: MarkRow) -> bool:
    return mark.exact.mm == 0.0


def _summand(mm: float | None) -> tuple[str, str]:
    """Inches and mm of a part of the proof, in decimals that can be added up."""
    if mm is None:
        return UNKNOWN, UNKNOWN
    return minus(f"{mm / INCH:z.3f}"), minus(f"{mm:z.2f}")
