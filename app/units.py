"""Lengths and angles as people write them: read at once into mm and degrees, written last, on display.

Reading is exact (fractions all the way) and takes what is written on tape, paper and screen: ``60 3/16``,
``5' 2 1/2"``, ``1528.8 mm``, sums and products of these. What can be read two ways is refused with both readings.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum, StrEnum, auto
from fractions import Fraction
from functools import lru_cache
from math import degrees, floor, gcd
from typing import Final

from geometry.rig.wheel import INCH

LONGEST: Final = 100
"""Longest entry that is read [characters]: far more than a sum on the back of an envelope."""

FEWEST_DIGITS: Final = 15
MOST_DIGITS: Final = 18
"""Digits with which an exact length is tried, least and one more than most: a float keeps 15 of what was typed, and is
told from all others by 17. Of zeros at the end none are written."""

_INCH = Fraction(str(INCH))
_MILLIONTHS: Final = 25_400_000
"""An inch in millionths of a millimetre."""
_PLAIN = re.compile(r"[-−]?\d+(?:\.(?:\d|\d\d))?(?: \d+/\d+)?")
_MILLIMETRES = re.compile(r"“[^”]*”|(?<![\w.])(?P<mm>-?\d+(?:\.\d+)?(?:e[-+]?\d+)?) mm\b")


class LengthUnit(StrEnum):
    """Unit in which lengths are shown, and in which a plain number is meant."""

    FRACTION = "fraction"
    INCH = "inch"
    MM = "mm"

    @property
    def words(self) -> str:
        """The unit as a menu names it."""
        return {
            "fraction": "inches with fractions",
            "inch": "decimal inches",
            "mm": "millimetres",
        }[self.value]

    @property
    def sign(self) -> str:
        """What stands behind a number in this unit."""
        return "mm" if self is LengthUnit.MM else "in"

    @property
    def in_mm(self) -> float:
        """One of it [mm]."""
        return 1.0 if self is LengthUnit.MM else INCH


class EntryError(ValueError):
    """What was typed cannot be used; the text is one sentence for the builder."""


class LengthError(EntryError):
    """What was typed is not a length."""


class AngleError(EntryError):
    """What was typed is not an angle."""


def parse_length(text: str, unit: LengthUnit) -> float:
    """The length that `text` says [mm]; a plain number is meant in `unit`.

    Raises
    ------
    LengthError
        When it says none, or could say two.

    """
    return Reader(_LENGTHS, text, Fraction(1) if unit is LengthUnit.MM else _INCH).result()


def parse_angle(text: str) -> float:
    """The angle that `text` says [degrees]; a plain number is meant in degrees.

    Raises
    ------
    AngleError
        When it says none, or could say two.

    """
    return Reader(_ANGLES, text, Fraction(1)).result()


def format_length(mm: float, unit: LengthUnit, *, step: float = 1 / 16) -> str:
    """A length [mm] for people, with its unit.

    Inches with fractions go to the nearest `step` [in], decimal inches to 0.001, millimetres to 0.1.
    """
    if unit is LengthUnit.FRACTION:
        steps, size = _steps(mm, step)
        whole, rest = divmod(steps, size)
        return _fraction(whole + (2 * rest > size or (2 * rest == size and whole % 2 == 1)), step)
    return f"{mm / unit.in_mm:z.3f} in" if unit is LengthUnit.INCH else f"{mm:z.1f} mm"


def exact_length(mm: float, unit: LengthUnit) -> str:
    """A short decimal number, without its unit, that `parse_length` reads as exactly `mm` in `unit`."""
    size = Fraction(1) if unit is LengthUnit.MM else _INCH
    true = Fraction(mm) / size
    for digits in range(FEWEST_DIGITS, MOST_DIGITS):
        text = f"{Decimal(f'{mm / unit.in_mm:.{digits}g}'):f}"
        if float(Fraction(text) * size) == mm:
            return text
    return f"{Decimal(true.numerator) / Decimal(true.denominator):f}"


def echo_length(text: str, unit: LengthUnit) -> str:
    """How an entry will be read, where that is not plain to see: “= 60 3/16 in, 1528.8 mm”; else empty."""
    if _PLAIN.fullmatch(text.strip().removesuffix(unit.sign).strip()):
        return ""
    try:
        mm = parse_length(text, unit)
    except LengthError:
        return ""
    other = LengthUnit.INCH if unit is LengthUnit.MM else LengthUnit.MM
    return f"= {format_length(mm, unit)}, {format_length(mm, other)}"


def fine_unit(unit: LengthUnit) -> LengthUnit:
    """The unit for walls, which nobody gives in sixteenths."""
    return LengthUnit.MM if unit is LengthUnit.MM else LengthUnit.INCH


def format_clearance(mm: float, unit: LengthUnit, *, step: float = 1 / 16, up: bool = False) -> str:
    """A clearance [mm] for people, rounded down so that it is never overstated; an overlap rounds to more of it.

    With `up` it rounds up instead: for the upper end of an interval. Steps are `step` [in] in fractions, 0.01 in
    decimal inches, 0.1 in millimetres. A millionth of a millimetre is let pass, for 12.7 mm is half an inch.
    """
    if unit is LengthUnit.MM:
        steps, size = _millionths(mm), 100_000
    else:
        steps, size = _steps(mm, step if unit is LengthUnit.FRACTION else 1 / 100)
    rounded = -(-steps // size) if up else steps // size
    if unit is LengthUnit.FRACTION:
        return _fraction(rounded, step)
    return f"{rounded / 100:z.2f} in" if unit is LengthUnit.INCH else f"{rounded / 10:z.1f} mm"


def format_wanted(mm: float, unit: LengthUnit) -> str:
    """A wanted clearance [mm] for people: exact where few digits can say it, and never less than what is asked for.

    Inches with fractions go up to the next sixteenth, decimal inches to the next 0.001, millimetres to the next 0.01.
    """
    if unit is LengthUnit.FRACTION:
        return format_clearance(mm, unit, up=True)
    digits = 3 if unit is LengthUnit.INCH else 2
    steps = -floor(-_shown(mm) / (Fraction(1) if unit is LengthUnit.MM else _INCH) * 10**digits)
    return f"{float(Fraction(steps, 10**digits)):.{digits}f}".removesuffix("0") + f" {unit.sign}"


def in_unit(sentence: str, unit: LengthUnit) -> str:
    """A sentence with its millimetres told in `unit`; what stands in quotation marks stays.

    In inches with fractions, all of it is told in decimals if some is no whole number of 64ths, for a limit must be
    exact and two ways of writing are hard to compare; decimals are three, or five where these say it exactly.
    """
    if unit is LengthUnit.MM:
        return sentence
    lengths = (float(found["mm"]) for found in _MILLIMETRES.finditer(sentence) if found["mm"] is not None)
    whole = unit is LengthUnit.FRACTION and all((_inches(mm) * 64).denominator == 1 for mm in lengths)

    def told(found: re.Match[str]) -> str:
        if found["mm"] is None:
            return found[0]
        mm = float(found["mm"])
        if whole:
            return format_length(mm, unit, step=1 / 64)
        exact = (_inches(mm) * 10**5).denominator == 1 and (_inches(mm) * 10**3).denominator > 1
        return f"{float(_inches(mm)):.5f}".rstrip("0") + " in" if exact else format_length(mm, LengthUnit.INCH)

    return _MILLIMETRES.sub(told, sentence)


def format_angle(angle_deg: float) -> str:
    """An angle for people, to a tenth."""
    return f"{angle_deg:z.1f}".removesuffix(".0") + "°"


def _shown(mm: float) -> Fraction:
    """`mm` without the noise of its last binary digits."""
    return Fraction(str(round(mm, 6)))


def _inches(mm: float) -> Fraction:
    return _shown(mm) / _INCH


def _millionths(mm: float) -> int:
    """`mm` in millionths of a millimetre, without the noise of its last binary digits."""
    return round(round(mm, 6) * 1e6)


@lru_cache(maxsize=16)
def _ratio(step: float) -> tuple[int, int]:
    return Fraction(step).limit_denominator(1000).as_integer_ratio()


def _steps(mm: float, step: float) -> tuple[int, int]:
    """`mm` and a step [in] as multiples of the same small size; whole numbers are exact, and quicker than fractions."""
    above, below = _ratio(step)
    return _millionths(mm) * below, _MILLIONTHS * above


def _fraction(steps: int, step: float) -> str:
    """So many steps of a fraction of an inch."""
    above, below = _ratio(step)
    whole, part = divmod(abs(steps) * above, below)
    words = [str(whole)] if whole or not part else []
    if part:
        common = gcd(part, below)
        words.append(f"{part // common}/{below // common}")
    return f"{'-' if steps < 0 else ''}{' '.join(words)} in"


# Reading


@dataclass(frozen=True, slots=True)
class Measure:
    """What is measured: its name, its units as written, the plain unit's name, and the error to raise."""

    name: str
    units: Mapping[str, Fraction]
    wanted: str
    error: type[EntryError]


_INCHES = ('"', "in", "inch", "inches")
_FEET = ("'", "ft", "foot", "feet")
_LENGTHS = Measure(
    "length",
    dict.fromkeys(_INCHES, _INCH)
    | dict.fromkeys(_FEET, 12 * _INCH)
    | dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1))
    | dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10))
    | dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(1000)),
    "60 3/16, 5' 2 1/2\", 62.5 in or 1588 mm",
    LengthError,
)
_ANGLES = Measure(
    "angle",
    dict.fromkeys(("°", "deg", "degree", "degrees"), Fraction(1))
    | dict.fromkeys(("rad", "radian", "radians"), Fraction(degrees(1.0))),
    "7.5 or 7.5°",
    AngleError,
)


class _Kind(Enum):
    PLAIN = auto()  # a number that may still turn out to be meant in the unit at hand
    MEASURE = auto()
    RATIO = auto()  # a measure divided by a measure


@dataclass(frozen=True, slots=True)
class _Value:
    amount: Fraction
    kind: _Kind


_CHARACTERS = (
    dict.fromkeys(map(ord, "‐‑‒–—―−"), "-")
    | dict.fromkeys(map(ord, "′‘’´`"), "'")
    | dict.fromkeys(map(ord, "″“”„"), '"')
    | dict.fromkeys(map(ord, "⁄∕"), "/")
    | {ord("×"): "*", ord("÷"): "/"}
    | {code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}
)
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
_SMALL_FRACTION = re.compile(r"([⁰¹²³⁴⁵⁶⁷⁸⁹]+)/([₀₁₂₃₄₅₆₇₈₉]+|[0-9]+)")
_MIXED_TRAP = re.compile(r"(?<![\d.,/])(\d+)-(\d+)/(\d+)")
_ONE_COMMA_TRAP = re.compile(r"[1-9]\d{0,2},\d{3}")
_DECIMAL = re.compile(r"\d+[.,]?\d*|[.,]\d+")
_GROUPED = re.compile(r"\d{1,3}(?:(?:,\d{3})+\.\d+|(?:\.\d{3})+,\d+|(?:,\d{3}){2,}|(?:\.\d{3}){2,})")
_FEET_TRAP = re.compile(r"(\d\s*(?:'|ft|foot|feet))-(?=\d)")
_TOKEN = re.compile(
    r"(?P<mixed>\d+\s+\d+\s*/\s*\d+(?![\d.,]))"
    r"|(?P<fraction>\d+/\d+(?![\d.,]))"
    r"|(?P<number>\d[\d.,]*|[.,]\d+)"
    r"|(?P<unit>[^\W\d_]+|[\"'°])(?:(?<=[a-z])\.(?!\d))?"
    r"|(?P<sign>[-+*/()])"
)


class Reader:
    """Reads one entry by recursive descent: sum, product, factor, quantity."""

    def __init__(self, measure: Measure, text: str, plain: Fraction) -> None:
        self._measure = measure
        self._plain = plain
        self._shown = " ".join(text.split())
        self._tokens = self._split(self._cleaned(text))
        self._next = 0

    def result(self) -> float:
        """The value of the whole entry."""
        value = self._sum()
        if self._next < len(self._tokens):
            raise self._stray()
        if value.kind is _Kind.RATIO:
            raise self._error(f"“{self._shown}” is a plain number, not {self._article()}; divide by a number instead")
        try:
            return float(self._measured(value))
        except OverflowError:
            raise self._error(f"“{self._shown}” is too large") from None

    # Characters and tokens

    def _cleaned(self, text: str) -> str:
        if len(text) > LONGEST:
            raise self._error(f"the entry is longer than {LONGEST} characters; write a shorter sum")
        pieces = []
        for character in text.translate(_CHARACTERS):
            expanded = unicodedata.normalize("NFKC", character).replace("⁄", "/")
            digit = unicodedata.decimal(character, None)
            if character.isspace():
                pieces.append(" ")
            elif digit is not None:
                pieces.append(str(digit))
            elif unicodedata.category(character) == "No" and "/" in expanded:
                before = "".join(pieces)[-1:]
                pieces.append(f" {expanded}" if before.isdecimal() else expanded)
            elif unicodedata.category(character) != "Cf":
                pieces.append(character)
        clean = _SMALL_FRACTION.sub(lambda found: " " + found.group().translate(_RAISED), "".join(pieces))
        return clean.replace("''", '"').strip().lower()

    def _split(self, text: str) -> list[tuple[str, str]]:
        if not text:
            raise self._error(f"nothing is entered; write {self._article()} like {self._measure.wanted}")
        self._refuse_traps(text)
        tokens = []
        at = 0
        while at < len(text):
            found = _TOKEN.match(text, at)
            if found is None:
                raise self._error(f"cannot read “{text[at:]}”; write {self._article()} like {self._measure.wanted}")
            kind = str(found.lastgroup)
            tokens.append((kind, found.group(kind)))
            at = found.end()
            while at < len(text) and text[at] == " ":
                at += 1
        return tokens

    def _refuse_traps(self, text: str) -> None:
        found = _MIXED_TRAP.search(text)
        if found and int(found.group(2)) < int(found.group(3)):
            whole, part = found.group(1), f"{found.group(2)}/{found.group(3)}"
            raise self._two_ways(found.group(), f"{whole} {part}", f"{whole} - {part}")
        if self._measure is _LENGTHS and (found := _FEET_TRAP.search(text)):
            rest = text[found.end() :]
            raise self._two_ways(
                f"{found.group()}{rest}",
                f"{found.group(1)} {rest}",
                f"{found.group(1)} - {rest}",
            )

    # Grammar

    def _sum(self) -> _Value:
        value = self._product()
        while (sign := self._take("+", "-")) is not None:
            other = self._product()
            if (value.kind is _Kind.RATIO) is not (other.kind is _Kind.RATIO):
                raise self._error(f"“{self._shown}” adds a plain number and {self._article()}; give both a unit")
            if value.kind is not other.kind:
                value = _Value(self._measured(value), _Kind.MEASURE)
                other = _Value(self._measured(other), _Kind.MEASURE)
            value = _Value(
                value.amount + (other.amount if sign == "+" else -other.amount),
                value.kind,
            )
        return value

    def _product(self) -> _Value:
        value = self._factor()
        while (sign := self._take("*", "/")) is not None:
            if sign == "/" and self._ahead() == "fraction":
                raise self._error(f"“{self._shown}” divides by a fraction; put it in brackets")
            other = self._factor()
            value = self._times(value, other) if sign == "*" else self._over(value, other)
        return value

    def _times(self, value: _Value, other: _Value) -> _Value:
        kinds = {value.kind, other.kind}
        if kinds == {_Kind.MEASURE}:
            raise self._error(f"“{self._shown}” multiplies two {self._measure.name}s; only one factor can have a unit")
        kind = next(kind for kind in (_Kind.MEASURE, _Kind.PLAIN, _Kind.RATIO) if kind in kinds)
        return _Value(value.amount * other.amount, kind)

    def _over(self, value: _Value, other: _Value) -> _Value:
        if other.amount == 0:
            raise self._error(f"“{self._shown}” divides by zero")
        if other.kind is _Kind.MEASURE and value.kind is not _Kind.MEASURE:
            raise self._error(f"“{self._shown}” divides by {self._article()}; divide by a plain number")
        kind = _Kind.RATIO if other.kind is _Kind.MEASURE else value.kind
        return _Value(value.amount / other.amount, kind)

    def _factor(self) -> _Value:
        sign = self._take("+", "-", "(")
        if sign is None:
            return self._quantity()
        if sign != "(":
            value = self._factor()
            return value if sign == "+" else _Value(-value.amount, value.kind)
        value = self._sum()
        if self._take(")") is None:
            raise self._error(f"“{self._shown}” lacks a closing bracket")
        if self._ahead() == "unit" and value.kind is _Kind.PLAIN:
            return _Value(value.amount * self._unit()[1], _Kind.MEASURE)
        return value

    def _quantity(self) -> _Value:
        number = self._number()
        if self._ahead() != "unit":
            return _Value(number, _Kind.PLAIN)
        word, size = self._unit()
        value = number * size
        if word in _FEET and self._ahead() in {"mixed", "fraction", "number"}:
            value += self._number() * _INCH
            if self._ahead() == "unit" and self._unit()[0] not in _INCHES:
                raise self._error(f"“{self._shown}” mixes feet with another unit; put a plus sign between them")
        return _Value(value, _Kind.MEASURE)

    def _number(self) -> Fraction:
        kind = self._ahead()
        if kind not in {"mixed", "fraction", "number"}:
            raise self._stray()
        text = self._tokens[self._next][1]
        self._next += 1
        if kind == "number":
            return self._decimal(text)
        whole, above, below = (int(part) for part in re.findall(r"\d+", text if kind == "mixed" else f"0 {text}"))
        if below == 0:
            raise self._error(f"“{text}” divides by zero")
        if kind == "mixed" and above >= below:
            raise self._error(f"the fraction in “{text}” is not smaller than one; put a plus sign before it")
        return whole + Fraction(above, below)

    def _decimal(self, text: str) -> Fraction:
        if _ONE_COMMA_TRAP.fullmatch(text):
            raise self._two_ways(text, text.replace(",", ""), text.replace(",", "."))
        signs = [sign for sign in text if not sign.isdecimal()]
        if not (_DECIMAL.fullmatch(text) or _GROUPED.fullmatch(text)):
            raise self._error(f"cannot read “{text}”; write the number with one decimal point and no grouping")
        point = "" if len(signs) > 1 and len(set(signs)) == 1 else "".join(signs)[-1:]
        return Fraction("".join("." if sign == point else sign for sign in text if sign.isdecimal() or sign == point))

    def _unit(self) -> tuple[str, Fraction]:
        word = self._tokens[self._next][1]
        self._next += 1
        if word not in self._measure.units:
            raise self._error(f"“{word}” is not a unit of {self._measure.name}; write it like {self._measure.wanted}")
        return word, self._measure.units[word]

    def _take(self, *signs: str) -> str | None:
        if self._ahead() == "sign" and self._tokens[self._next][1] in signs:
            self._next += 1
            return self._tokens[self._next - 1][1]
        return None

    def _ahead(self) -> str:
        return self._tokens[self._next][0] if self._next < len(self._tokens) else ""

    def _measured(self, value: _Value) -> Fraction:
        return value.amount * self._plain if value.kind is _Kind.PLAIN else value.amount

    # Words

    def _article(self) -> str:
        return f"{'an' if self._measure is _ANGLES else 'a'} {self._measure.name}"

    def _error(self, sentence: str) -> EntryError:
        return self._measure.error(f"{sentence[:1].upper()}{sentence[1:]}.")

    def _two_ways(self, text: str, one: str, other: str) -> EntryError:
        return self._error(f"“{text}” can be read two ways; write “{one}” or “{other}”")

    def _stray(self) -> EntryError:
        if self._next >= len(self._tokens):
            return self._error(f"“{self._shown}” ends too early; a number is missing")
        kind, text = self._tokens[self._next]
        place = f"“{text}”" if text == self._shown else f"“{text}” in “{self._shown}”"
        if kind in {"mixed", "fraction", "number"}:
            return self._error(f"{place} follows a number without a sign between them")
        return self._error(f"{place} is out of place; write {self._article()} like {self._measure.wanted}")
