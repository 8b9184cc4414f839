"""From plain values to a rig: types, ranges and names of fields; what is wrong is told in words, with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from difflib import get_close_matches
from math import isfinite
from typing import Any, Final, TypeVar

import msgspec

from geometry.errors import RigError
from geometry.rig.rig import VERSION, Rig

Part = TypeVar("Part", bound=msgspec.Struct)

LONGEST_FIELD: Final = 40
"""Length at which the name of a field that there is not is cut off in a sentence about it [characters]."""

_STEP = re.compile(r"\.?(\w+)|\[(\d+)\]")
_KINDS: Final = {
    "float": "a number",
    "int": "a whole number",
    "str": "a text",
    "bool": "true or false",
    "array": "a list",
    "object": "a group of fields in braces",
    "null": "null",
}
"""What a builder calls the types of JSON."""

_UNITS: Final = {"_deg": " degrees", "_kg": " kg", "_factor": ""}
"""By the end of a field's name: its unit as said behind a number; mm with all others."""


def rig_from_plain(data: object) -> Rig:
    """The rig that plain values (dicts, lists, texts, numbers) describe.

    Only what each value is by itself is looked at here; `geometry.rig.check` looks at what they are together.

    Raises
    ------
    RigError
        With the place of the first value that is missing, unknown, of the wrong type or out of range.

    """
    return part_from_plain(data, Rig)


def part_from_plain(data: object, kind: type[Part]) -> Part:
    """The record of a kind (the whole rig, a node, a bar) that plain values describe; raises as `rig_from_plain`."""
    try:
        return msgspec.convert(data, kind)
    except msgspec.ValidationError as error:
        refused = _in_words(str(error), data)
        refused.ids = ids_at(refused.place, data)
        raise refused from None


def plain_from_rig(rig: Rig) -> dict[str, Any]:
    """The plain values of a rig."""
    plain: dict[str, Any] = msgspec.to_builtins(rig)
    return plain


def ids_at(place: str, data: object) -> tuple[str, ...]:
    """Ids of the parts that plain values hold on the way to a place, outermost first, without one that is at fault."""
    ids = []
    steps = _STEP.findall(place)
    for name, index in steps[:-2] if place.endswith(".id") else steps:
        try:
            data = data[int(index)] if index else data[name]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            break
        if index and isinstance(data, dict) and isinstance(data.get("id"), str):
            ids.append(data["id"])
    return tuple(ids)


def _in_words(message: str, data: object) -> RigError:
    what, _, path = message.partition(" - at `$")
    place = path.rstrip("`").removeprefix(".")
    for pattern, translate in _TRANSLATIONS.items():
        if found := re.fullmatch(pattern, what, re.DOTALL):
            return translate(place, _value(data, place), *found.groups())
    return RigError(place, what[:1].lower() + what[1:])


def _value(data: object, place: str) -> Any:
    """What stands at a place; None if there is nothing."""
    for name, index in _STEP.findall(place):
        try:
            data = data[int(index)] if index else data[name]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _missing(place: str, _value: object, field: str) -> RigError:
    return RigError(_join(place, field), f"“{field}” is missing; add it")


def _unknown(place: str, _value: object, field: str) -> RigError:
    shown = field if len(field) <= LONGEST_FIELD else f"{field[:LONGEST_FIELD]}…"
    meant = did_you_mean(shown, _fields_at(place))
    problem = f"“{shown}” is not a field of the rig file{meant}; check its spelling or remove it"
    return RigError(_join(place, field), problem)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """The nearest known word as a question in brackets; empty = none is near."""
    near = get_close_matches(word, list(known), 1)
    return f" (did you mean “{near[0]}”?)" if near else ""


def _fields_at(place: str) -> tuple[str, ...]:
    """The fields that the record at a place can have."""
    kind: Any = msgspec.inspect.type_info(Rig)
    for name, index in _STEP.findall(place):
        if index:
            kind = getattr(kind, "item_type", None)
        else:
            kind = next((field.type for field in getattr(kind, "fields", ()) if field.name == name), None)
        if isinstance(kind, msgspec.inspect.Metadata):
            kind = kind.type
        if isinstance(kind, msgspec.inspect.UnionType):
            kind = next((one for one in kind.types if isinstance(one, msgspec.inspect.StructType)), None)
    return tuple(field.name for field in getattr(kind, "fields", ()))


def _wrong_type(place: str, value: object, wanted: str, got: str) -> RigError:
    words = " or ".join(_KINDS.get(kind, kind) for kind in wanted.split(" | "))
    typed = isinstance(value, str) and "float" in wanted and any(sign.isdecimal() for sign in value)
    hint = "write the number without quotation marks, unit and fraction" if typed else ""
    return RigError(place, f"{_subject(place)} must be {words}, not {_KINDS.get(got, got)}", in_file=hint)


def _out_of_range(place: str, value: object, sign: str, limit: str) -> RigError:
    if isinstance(value, float) and not isfinite(value):
        return RigError(place, f"{_subject(place)} is not a finite number; write one")
    relation = {">=": "at least", ">": "more than", "<=": "at most", "<": "less than"}[sign]
    unit = next((said for end, said in _UNITS.items() if place.endswith(end)), " mm")
    number = f"{value:.10g}" if isinstance(value, float) else value
    return RigError(place, f"{_subject(place)} is {number}{unit} and must be {relation} {float(limit):g}{unit}")


def _wrong_length(place: str, value: Any, wanted: str) -> RigError:
    words = wanted.replace(">=", "at least").replace("<=", "at most")
    return RigError(place, f"{_subject(place)} has {len(value)} entries and must have {words}; add or remove some")


def _exact_length(place: str, _value: object, wanted: str, got: str) -> RigError:
    problem = f"{_subject(place)} has {got} entries and must have {wanted}"
    return RigError(place, problem, in_file="add or remove some, and write 44.5 with a point, not with a comma")


def _long_text(place: str, value: Any, limit: str) -> RigError:
    problem = f"{_subject(place)} is {len(value)} characters long and must be at most {limit}; shorten it"
    return RigError(place, problem)


def _bad_name(place: str, value: object) -> RigError:
    if place.endswith(".date"):
        return RigError(place, f"“{value}” is not a date; write year, month and day, as in 2026-05-31")
    rule = "letters, digits, dot, dash and underscore, the first a letter or digit"
    return RigError(place, f"“{value}” is not a usable name; use {rule}")


def _wrong_word(place: str, value: object) -> RigError:
    field = place.rpartition(".")[2]
    if field == "version" and isinstance(value, int) and value > VERSION:
        return RigError(
            place, f"the version is {value}, newer than the {VERSION} this program reads; use a newer program"
        )
    words = " or ".join(f"“{word}”" if isinstance(word, str) else str(word) for word in _choices(field))
    given = f"“{value}”" if isinstance(value, str) else value
    return RigError(place, f"{_subject(place)} is {given} and must be {words}")


def _choices(field: str) -> tuple[object, ...]:
    """What a field of that name can be, from the rig's own types."""
    definitions = msgspec.json.schema(Rig)["$defs"]
    found: Iterator[Mapping[str, Any]] = (
        entry["properties"][field] for entry in definitions.values() if field in entry.get("properties", {})
    )
    return next((tuple(entry["enum"]) for entry in found if "enum" in entry), ())


def _subject(place: str) -> str:
    """What stands at a place, as the beginning of a sentence about it."""
    name, index = next(reversed(_STEP.findall(place)), ("", ""))
    if index:
        field = place.removesuffix(f"[{index}]").rpartition(".")[2]
        return f"number {int(index) + 1} of “{field}”"
    return name.removesuffix("_deg").removesuffix("_kg").replace("_", " ") or "the rig"


def _join(place: str, field: str) -> str:
    return f"{place}.{field}" if place else field


_TRANSLATIONS: Final[Mapping[str, Callable[..., RigError]]] = {
    r"Object missing required field `(\w+)`": _missing,
    r"Object contains unknown field `(.*)`": _unknown,
    r"Expected `([^`]+)`, got `(\w+)`": _wrong_type,
    r"Expected `(?:float|int)` ([<>]=?) (\S+)": _out_of_range,
    r"Expected `array` of length ([<>]=? \d+|\d+)": _wrong_length,
    r"Expected `array` of length (\d+), got (\d+)": _exact_length,
    r"Expected `str` of length <= (\d+)": _long_text,
    r"Expected `str` matching regex .*": _bad_name,
    r"Invalid enum value .*": _wrong_word,
}
"""What the validating library says, as patterns, and our words for it."""
