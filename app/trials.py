"""Widths on trial side by side: what the whole-travel check, the rules and the cut plan say of each."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import degrees
from typing import Final, TypeVar

from app.figures.places import place_words
from app.files.answer_csv import as_cell
from app.study import AxleAnswer, with_width
from app.units import LengthUnit, format_angle, format_clearance, format_length, in_unit
from app.wording import NOTHING, pair_words, short_name
from geometry.contact.findings import Approach, Verdict
from geometry.errors import GeometryError, PlanError
from geometry.plan.amount import Amount
from geometry.plan.cuts import CutPlan, cut_plan
from geometry.plan.mock_up import MockUpRow, mock_up
from geometry.rig.axle import Axle
from geometry.rig.build import MockUp
from geometry.rig.rig import Rig
from geometry.rig.wheel import outer_width, tire_dimensions, track_width
from geometry.stance.masses import RigMasses
from geometry.stance.rules import WidthRule
from geometry.stance.stability import AxleStability, stability

Made = TypeVar("Made")

MARK_STEP: Final = 1 / 32
"""Marks are told to this fraction of an inch [in]: the finest that cuts are rounded to."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One width on trial.

    Attributes
    ----------
    width, track, outer : float
        Wheel-mount width, tire centre to tire centre, outside to outside of the tires [mm].
    answer : AxleAnswer, str or None
        The check of the axle at that width, or one sentence why there is none; None = it is still to come.
    stands : tuple of AxleStability
        Empty and loaded.
    cuts : CutPlan or str
        Or why none can be made.
    mock_up : MockUpRow, str or None
        None = there is no mock-up axle.
    broken, unknown : tuple of WidthRule
        Rules beside clearance that the width breaks, and of which that is unknown.
    counted, off : int
        Rules beside clearance that were looked at, and that are switched off [-].

    """

    width: float
    track: float
    outer: float
    answer: AxleAnswer | str | None
    stands: tuple[AxleStability, ...]
    cuts: CutPlan | str
    mock_up: MockUpRow | str | None
    broken: tuple[WidthRule, ...]
    unknown: tuple[WidthRule, ...]
    counted: int = 0
    off: int = 0

    @property
    def worst(self) -> Approach | None:
        """The pair with the least margin."""
        pairs = self.answer.approaches if isinstance(self.answer, AxleAnswer) else ()
        return min(pairs, key=lambda pair: pair.margin, default=None)

    @property
    def verdict(self) -> Verdict | None:
        """What the check says; None = it is still to come."""
        if self.answer is None:
            return None
        if isinstance(self.answer, str) or self.answer.problem:
            return Verdict.UNKNOWN
        verdicts = {pair.verdict for pair in self.answer.approaches}
        return next((verdict for verdict in Verdict if verdict in verdicts), Verdict.CLEAR)

    @property
    def problem(self) -> str:
        """Why there is no answer; empty = there is one, or it is to come."""
        if isinstance(self.answer, AxleAnswer):
            return self.answer.problem
        return self.answer or ""


def trial(
    rig: Rig,
    axle_id: str,
    width: float,
    answer: AxleAnswer | str | None,
    masses: RigMasses,
    rules: Sequence[WidthRule],
    *,
    off: int = 0,
) -> Trial:
    """Everything about one width of an axle [mm]; `rules` are those that count, `off` is how many do not."""
    at_width = with_width(rig, axle_id, width)
    axle = at_width.axle(axle_id)
    stands = (stability(at_width, state) for state in masses.states)
    readings = [(rule, rule.at(width).satisfied) for rule in rules]
    return Trial(
        width=width,
        track=track_width(width, axle.wheel),
        outer=outer_width(width, axle.wheel, tire_dimensions(axle.tire)),
        answer=answer,
        stands=tuple(next(each for each in stand.axles if each.axle == axle_id) for stand in stands),
        cuts=_or_why(lambda: cut_plan(axle)),
        mock_up=_mock_up(axle, width),
        broken=tuple(rule for rule, satisfied in readings if satisfied is False),
        unknown=tuple(rule for rule, satisfied in readings if satisfied is None),
        counted=len(rules),
        off=off,
    )


def _mock_up(axle: Axle, width: float) -> MockUpRow | str | None:
    if axle.build is None or axle.build.mockup == MockUp():
        return None
    return _or_why(lambda: mock_up(axle, (width,)).rows[0])


def _or_why(make: Callable[[], Made]) -> Made | str:
    try:
        return make()
    except PlanError as refused:
        return f"{refused.problem[:1].upper()}{refused.problem[1:]}."
    except GeometryError as refused:
        return str(refused)


@dataclass(frozen=True, slots=True)
class Cell:
    """What one row says of one width: its words, its sign, and more for whoever asks."""

    text: str
    sign: Verdict | None = None
    more: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One property of all widths."""

    title: str
    cells: tuple[Cell, ...]


def rows_of(rig: Rig, axle_id: str, trials: Sequence[Trial], unit: LengthUnit) -> tuple[Row, ...]:
    """The trials side by side: a cell for each of them in every row."""
    told: dict[str, Callable[[Trial], Cell]] = {
        "Clearance": lambda each: _clearance(each, unit),
        "Over what is wanted": lambda each: _margin(each, unit),
        "Worst pair": lambda each: Cell(pair_words(each.worst) if each.worst is not None else _nothing(each)),
        "Rules broken": _broken,
        "Stability, empty, loaded": lambda each: _stand(rig, each, lambda one: one.factor, _factor),
        "Tips at, empty, loaded": lambda each: _stand(rig, each, lambda one: one.tip, _slope),
        "Outer width": lambda each: Cell(format_length(each.outer, unit)),
        "Track": lambda each: Cell(format_length(each.track, unit)),
        "Tube mark, left": lambda each: _mark(rig, axle_id, each, "left", unit),
        "Tube mark, right": lambda each: _mark(rig, axle_id, each, "right", unit),
    }
    if any(each.mock_up is not None for each in trials):
        told["Mock-up mark, left"] = lambda each: _slider(rig, axle_id, each, "left", unit)
        told["Mock-up mark, right"] = lambda each: _slider(rig, axle_id, each, "right", unit)
    return tuple(Row(title, tuple(make(each) for each in trials)) for title, make in told.items())


def _clearance(each: Trial, unit: LengthUnit) -> Cell:
    words = _nothing(each) if each.worst is None else format_clearance(each.worst.low, unit)
    return Cell(words, each.verdict, each.problem)


def _margin(each: Trial, unit: LengthUnit) -> Cell:
    return Cell(_nothing(each) if each.worst is None else format_clearance(each.worst.margin, unit))


def _nothing(each: Trial) -> str:
    if each.answer is None:
        return "checking…"
    return "not established" if each.problem else NOTHING


def _broken(each: Trial) -> Cell:
    names = [short_name(rule) for rule in each.broken] + [f"unknown: {short_name(rule)}" for rule in each.unknown]
    if each.off:
        left_out = [f"{each.off} off"]
        names = [*(names or ([f"none of the {each.counted} on"] if each.counted else ["none is on"])), *left_out]
    clear = Verdict.CLEAR if each.counted or not each.off else None
    sign = Verdict.CONTACT if each.broken else Verdict.UNKNOWN if each.unknown else clear
    return Cell("; ".join(names) or "none", sign)


def _stand(rig: Rig, each: Trial, of: Callable[[AxleStability], Amount], words: Callable[[float], str]) -> Cell:
    amounts = [of(stand) for stand in each.stands]
    more = "; ".join(dict.fromkeys(_needs(rig, "", amount) for amount in amounts if amount.value is None))
    return Cell(", ".join("unknown" if amount.value is None else words(amount.value) for amount in amounts), more=more)


def _factor(value: float) -> str:
    return f"{value:.3f}"


def _slope(value: float) -> str:
    return format_angle(degrees(value))


def _mark(rig: Rig, axle_id: str, each: Trial, side: str, unit: LengthUnit) -> Cell:
    if isinstance(each.cuts, str):
        return Cell("does not fit", Verdict.CONTACT, in_unit(each.cuts, unit))
    amount = getattr(each.cuts, side).cut.rounded
    return _length(rig, axle_id, amount, unit)


def _slider(rig: Rig, axle_id: str, each: Trial, side: str, unit: LengthUnit) -> Cell:
    if each.mock_up is None or isinstance(each.mock_up, str):
        return Cell(NOTHING, more=in_unit(each.mock_up or "", unit))
    cell = _length(rig, axle_id, getattr(each.mock_up, side).from_mount, unit)
    if each.mock_up.fits is False:
        return Cell(cell.text, Verdict.CONTACT, "The mock-up cannot be set to this width.")
    return cell


def _length(rig: Rig, axle_id: str, amount: Amount, unit: LengthUnit) -> Cell:
    if amount.value is None:
        return Cell("unknown", more=_needs(rig, axle_id, amount))
    return Cell(format_length(amount.value, unit, step=MARK_STEP))


def _needs(rig: Rig, axle_id: str, amount: Amount) -> str:
    return f"needs {', '.join(place_words(rig, place, axle_id) for place in amount.missing)}"


# CSV


def trials_to_csv(rig: Rig, trials: Iterable[tuple[str, Trial]]) -> bytes:
    """One line per axle and width, in full precision; what is not known is an empty cell; RFC 4180, UTF-8."""
    records = [dict(_record(rig, axle_id, each)) for axle_id, each in trials]
    names = list(dict.fromkeys(name for record in records for name in record))
    text = io.StringIO(newline="")
    written = csv.writer(text)
    written.writerow(names)
    written.writerows([as_cell(record.get(name)) for name in names] for record in records)
    return text.getvalue().encode()


def _record(rig: Rig, axle_id: str, each: Trial) -> Iterator[tuple[str, object]]:
    worst = each.worst
    yield "axle", axle_id
    yield "width_mm", each.width
    yield "is_set", rig.axle(axle_id).width == each.width
    yield "verdict", each.verdict.value if each.verdict is not None else None
    yield "clearance_mm", worst.low if worst is not None else None
    yield "margin_mm", worst.margin if worst is not None else None
    yield "worst_pair", pair_words(worst) if worst is not None else None
    yield "rules_broken", "; ".join(rule.label for rule in each.broken)
    yield "rules_unknown", "; ".join(rule.label for rule in each.unknown)
    yield "rules_off", each.off
    for state, stand in zip(("empty", "loaded"), each.stands, strict=True):
        yield f"stability_factor_{state}", stand.factor.value
        yield f"tips_at_{state}_deg", None if stand.tip.value is None else degrees(stand.tip.value)
    yield "outer_width_mm", each.outer
    yield "track_mm", each.track
    for side in ("left", "right"):
        cuts, mock = each.cuts, each.mock_up
        yield f"tube_mark_{side}_mm", None if isinstance(cuts, str) else getattr(cuts, side).cut.rounded.value
        slider = None if mock is None or isinstance(mock, str) else getattr(mock, side).from_mount.value
        yield f"mock_up_mark_{side}_mm", slider
    yield "problem", " ".join(part for part in (each.problem, each.cuts if isinstance(each.cuts, str) else "") if part)
