"""From plain values to a rig: types, ranges and names of fields; what is wrong is told in words, with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from math import isfinite
from typing import Any, Final

import msgspec

from geometry.errors import RigError
from geometry.rig.rig import VERSION, Rig

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


def rig_from_plain(data: object) -> Rig:
    """The rig that plain values (dicts, lists, texts, numbers) describe.

    Only what each value is by itself is looked at here; `geometry.rig.check` looks at what they are together.

    Raises
    ------
    RigError
        With the place of the first value that is missing, unknown, of the wrong type or out of range.

    """
    try:
        return msgspec.convert(data, Rig)
    except msgspec.ValidationError as error:
        raise _in_words(str(error), data) from None


def plain_from_rig(rig: Rig) -> dict[str, Any]:
    """The plain values of a rig."""
    plain: dict[str, Any] = msgspec.to_builtins(rig)
    return plain


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
    return RigError(_join(place, field), "is missing; add it")


def _unknown(place: str, _value: object, field: str) -> RigError:
    return RigError(_join(place, field), "is not a field of the rig file; check its spelling or remove it")


def _wrong_type(place: str, _value: object, wanted: str, got: str) -> RigError:
    words = " or ".join(_KINDS.get(kind, kind) for kind in wanted.split(" | "))
    return RigError(place, f"must be {words}, not {_KINDS.get(got, got)}")


def _out_of_range(place: str, value: object, sign: str, limit: str) -> RigError:
    if isinstance(value, float) and not isfinite(value):
        return RigError(place, "is not a finite number; write one")
    relation = {">=": "at least", ">": "more than", "<=": "at most", "<": "less than"}[sign]
    unit = "degrees" if place.endswith("_deg") else "mm"
    return RigError(place, f"is {value} and must be {relation} {float(limit):g} {unit}")


def _wrong_length(place: str, value: Any, wanted: str) -> RigError:
    words = wanted.replace(">=", "at least").replace("<=", "at most")
    return RigError(place, f"has {len(value)} entries and must have {words}; add or remove some")


def _exact_length(place: str, _value: object, wanted: str, got: str) -> RigError:
    return RigError(place, f"has {got} entries and must have {wanted}")


def _long_text(place: str, value: Any, limit: str) -> RigError:
    return RigError(place, f"is {len(value)} characters long and must be at most {limit}; shorten it")


def _bad_name(place: str, value: object) -> RigError:
    rule = "letters, digits, dot, dash and underscore, the first a letter or digit"
    return RigError(place, f"“{value}” is not a usable name; use {rule}")


def _wrong_word(place: str, value: object) -> RigError:
    field = place.rpartition(".")[2]
    if field == "version" and isinstance(value, int) and value > VERSION:
        return RigError(place, f"is {value}, newer than the {VERSION} this program reads; use a newer program")
    words = " or ".join(f"“{word}”" if isinstance(word, str) else str(word) for word in _choices(field))
    return RigError(place, f"is {f'“{value}”' if isinstance(value, str) else value} and must be {words}")


def _choices(field: str) -> tuple[object, ...]:
    """What a field of that name can be, from the rig's own types."""
    definitions = msgspec.json.schema(Rig)["$defs"]
    found: Iterator[Mapping[str, Any]] = (
        entry["properties"][field] for entry in definitions.values() if field in entry.get("properties", {})
    )
    return next((tuple(entry["enum"]) for entry in found if "enum" in entry), ())


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
