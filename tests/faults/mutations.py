"""Damage and malice done to files, by a seed: to their bytes, to what stands in them, and by what might stand there."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from random import Random
from typing import Any, Final

from msgspec import inspect

from geometry.rig.rig import Rig

ODD_NUMBERS: Final = (
    "NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1e308", "-1e308", "5e-324", "-0.0", "0", "-1", "1e-9",
    "20000", "20000.000000001", "-20000", "1e16", "9" * 5000, "1" + "0" * 400, "1.7976931348623157e308",
    "0.1e", "+1", ".5", "0x10",
)  # fmt: skip
ODD_BYTES: Final = (
    b"\xff", b"\xc0\x80", b"\xed\xa0\x80", b"\xf8\x88\x80\x80\x80", b"\0", b"\xef\xbb\xbf", b"\xfe\xff", b"\xff\xfe",
    b"\\ud800", b"\\udfff", b"\\u0000", b"\\", b'"', b"'", b"[", b"]", b"{", b"}", b",", b":", b";", b"\t", b"\r",
    b"\n", b"-", b"e9", b"null", b"true", b"\x1b[2J", b"//", b"#", b"&a;", b"\x1a", "’“½ ".encode(), "\u202e".encode(),
)  # fmt: skip
ODD_VALUES: Final = (
    None, True, False, 0, 1, -1, 2**31, 2**63, 2**64, -(2**63), 10**400, 1.5, 1e300, -1e300, 5e-324, float("nan"),
    float("inf"), float("-inf"), "", " ", "x", "'", "''", "a'", "a''", "a/b", "../../a.png", "/etc/passwd", "C:\\a.png",
    "con.png", "\0", "\ud800", "\udc00\ud800", "x" * 64, "x" * 65, "x" * 5000, "37x12.50R17", "1e99x1e99R1e99", "0x0R0",
    "9999/9999R9999", "2024-02-30", "9999-99-99", "\u202e", "\x1b[31m", [], {}, [[]], [{}], {"": None}, [None] * 40,
)  # fmt: skip
LONG: Final = 200
"""Bytes of a piece that is cut out, doubled or put elsewhere, at most."""


def torn(chance: Random, data: bytes) -> bytes:
    """A text of any kind with some of its bytes changed, cut, doubled, put elsewhere, or its numbers made odd."""
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        data = chance.choice((_bytes_changed, _bytes_changed, _line_moved, _number_odd))(chance, data)
    return data[: chance.randrange(len(data) + 1)] if chance.random() < 0.05 else data


def _bytes_changed(chance: Random, data: bytes) -> bytes:
    """A bit turned over, or some bytes cut out, doubled, put elsewhere, or written over or between by others."""
    at, other = chance.randrange(len(data) + 1), chance.randrange(len(data) + 1)
    length = chance.randint(1, chance.choice((1, 8, LONG)))
    piece, end = data[at : at + length], chance.choice((at, at + length))
    flipped = bytes((piece[0] ^ 1 << chance.randrange(8),)) + piece[1:] if piece else b""
    pieces = (b"", piece + piece, data[other : other + length], chance.randbytes(length), chance.choice(ODD_BYTES))
    return data[:at] + chance.choice((flipped, *pieces, pieces[-1] * 300)) + data[at + length if flipped else end :]


def _line_moved(chance: Random, data: bytes) -> bytes:
    """One line taken out, doubled, or put elsewhere."""
    lines = data.split(b"\n")
    line = lines.pop(chance.randrange(len(lines)))
    for _ in range(chance.choice((0, 1, 2))):
        lines.insert(chance.randrange(len(lines) + 1), line)
    return b"\n".join(lines)


def _number_odd(chance: Random, data: bytes) -> bytes:
    """The number behind a random place replaced by one that nobody means."""
    at = start = chance.randrange(len(data) + 1)
    while start < len(data) and data[start : start + 1] not in b"0123456789":
        start += 1
    end = start
    while end < len(data) and data[end : end + 1] in b"0123456789.eE+-":
        end += 1
    number = chance.choice(ODD_NUMBERS).encode()
    return data[:start] + number + data[end:] if end > start else data[:at] + number + data[at:]


# Rigs


def mutated_rig(chance: Random, text: bytes) -> bytes:
    """A rig file that is damaged, or made up to do harm."""
    if chance.random() < 0.3:
        return torn(chance, text)
    plain = json.loads(text)
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        chance.choice((_swap, _swap, _grow, _grow, _nudge, _link, _clash, _remove, _double, _exchange))(chance, plain)
    data = json.dumps(plain, ensure_ascii=chance.random() < 0.5).encode(errors="surrogatepass")
    return _doubled_key(chance, data) if chance.random() < 0.05 else _nested(chance, data)


def _places(plain: Any) -> list[tuple[Any, Any]]:
    """Every place in a tree of plain values: what holds the value, and its name or number there."""
    found: list[tuple[Any, Any]] = []
    waiting = [plain]
    while waiting:
        holder = waiting.pop()
        keys = holder.keys() if isinstance(holder, dict) else range(len(holder))
        for key in keys:
            found.append((holder, key))
            if isinstance(holder[key], dict | list):
                waiting.append(holder[key])
    return found


def _swap(chance: Random, plain: Any) -> None:
    """A value of another type, or an odd one of its own."""
    if places := _places(plain):
        holder, key = chance.choice(places)
        holder[key] = deepcopy(chance.choice(ODD_VALUES))


def _nudge(chance: Random, plain: Any) -> None:
    """A number made larger, smaller, negative, or equal to another one, so that it mostly stays in its range."""
    numbers = [(holder, key) for holder, key in _places(plain) if type(holder[key]) in {int, float}]
    if numbers:
        holder, key = chance.choice(numbers)
        other, its = chance.choice(numbers)
        value = holder[key]
        holder[key] = chance.choice((value * 1e3, value / 1e6, -value, other[its], value + 1e-9, value * 0.0))


def _texts(plain: Any) -> list[tuple[Any, Any]]:
    return [(holder, key) for holder, key in _places(plain) if isinstance(holder[key], str)]


def _link(chance: Random, plain: Any) -> None:
    """A name that leads nowhere, elsewhere, or back to itself."""
    if texts := _texts(plain):
        holder, key = chance.choice(texts)
        other, its = chance.choice(texts)
        holder[key] = chance.choice((other[its], holder[key] + "'", "nowhere", other[its].upper()))


def _clash(chance: Random, plain: Any) -> None:
    """Two parts of one id."""
    ids = [(holder, key) for holder, key in _texts(plain) if key == "id"]
    if ids:
        (holder, key), (other, its) = chance.choice(ids), chance.choice(ids)
        holder[key] = other[its]


def _remove(chance: Random, plain: Any) -> None:
    if places := _places(plain):
        holder, key = chance.choice(places)
        del holder[key]


def _double(chance: Random, plain: Any) -> None:
    """A part that is there again, many times over."""
    lists = [holder[key] for holder, key in _places(plain) if isinstance(holder[key], list) and holder[key]]
    if lists:
        parts = chance.choice(lists)
        parts += [chance.choice(parts)] * chance.choice((1, 1, 2, 70, 3000))


def _exchange(chance: Random, plain: Any) -> None:
    """Two values in each other's place."""
    if places := _places(plain):
        (one, its), (other, key) = chance.choice(places), chance.choice(places)
        one[its] = deepcopy(other[key])


def _doubled_key(chance: Random, data: bytes) -> bytes:
    """A field that stands there twice."""
    starts = [index for index in range(len(data)) if data[index : index + 1] == b"{"]
    at = chance.choice(starts) + 1 if starts else 0
    end = data.find(b",", at)
    return data[:at] + data[at : end + 1] + data[at:] if end > at else data


def _nested(chance: Random, data: bytes) -> bytes:
    """The whole, or a number of it, deep inside of brackets; mostly left alone."""
    if chance.random() > 0.02:
        return data
    deep = chance.choice((15, 19, 30, 1000, 100_000))
    at = max(data.find(b"1", chance.randrange(len(data))), 0)
    return data[:at] + b"[" * deep + data[at : at + 1] + b"]" * deep + data[at + 1 :]


# What the records allow


def _grow(chance: Random, plain: Any) -> None:
    """A field that a record of the rig may have, with a value that it may have or just may not."""
    records = [(plain, inspect.type_info(Rig))]
    for holder, kind in records:  # grows while it is gone through
        records += list(_inside(holder, kind))
    holder, kind = chance.choice(records)
    field = chance.choice(kind.fields)
    holder[field.encode_name] = _made(chance, field.type, plain)


def _inside(holder: dict[str, Any], kind: Any) -> Iterator[tuple[dict[str, Any], Any]]:
    """The records within a record, as far as its values are of the types that they should be."""
    for field in kind.fields:
        value, inner = holder.get(field.encode_name), _record_of(field.type)
        if inner is not None:
            values = value if isinstance(value, list) else [value]
            yield from ((each, inner) for each in values if isinstance(each, dict))


def _record_of(kind: Any) -> Any:
    """The record that a type is, or is a list of, or may be."""
    if isinstance(kind, inspect.StructType):
        return kind
    if isinstance(kind, inspect.VarTupleType):
        return _record_of(kind.item_type)
    if isinstance(kind, inspect.UnionType):
        return next((inner for each in kind.types if (inner := _record_of(each)) is not None), None)
    return None


def _made(chance: Random, kind: Any, plain: Any) -> Any:  # noqa: PLR0911  (one for each kind of type)
    """A value of a type, at the ends of its range or a bit beyond as often as within."""
    if isinstance(kind, inspect.UnionType):
        return _made(chance, chance.choice(kind.types), plain)
    if isinstance(kind, inspect.FloatType | inspect.IntType):
        return _number(chance, kind)
    if isinstance(kind, inspect.StructType):
        return {
            field.encode_name: _made(chance, field.type, plain)
            for field in kind.fields
            if field.required or chance.random() < 0.4
        }
    if isinstance(kind, inspect.VarTupleType):
        most = kind.max_length or 4
        count = chance.choice((kind.min_length or 0, 1, 2, 3, min(most, 70) + 1))
        return [_made(chance, kind.item_type, plain) for _ in range(count)]
    if isinstance(kind, inspect.TupleType):
        return [_made(chance, each, plain) for each in kind.item_types]
    if isinstance(kind, inspect.LiteralType):
        return chance.choice(kind.values)
    if isinstance(kind, inspect.BoolType):
        return chance.random() < 0.5
    return deepcopy(_text(chance, plain))


def _number(chance: Random, kind: inspect.FloatType | inspect.IntType) -> float:
    low = next((end for end in (kind.ge, kind.gt) if end is not None), -1e6)
    high = next((end for end in (kind.le, kind.lt) if end is not None), 1e6)
    inside = chance.choice((chance.uniform(low, high), chance.uniform(low, low + (high - low) / 100.0)))
    number = chance.choice((low, high, inside, inside, inside, high * 1.001 + 1.0, low - 1.0))
    return round(number) if isinstance(kind, inspect.IntType) else number


def _text(chance: Random, plain: Any) -> Any:
    """A text of the file itself, mostly the id of a part, or an odd one."""
    texts = _texts(plain) if chance.random() < 0.8 else []
    ids = [(holder, key) for holder, key in texts if key == "id"]
    if not texts:
        return chance.choice(("2025-05-31", "0" * 64, "a.png", *ODD_VALUES))
    holder, key = chance.choice(ids or texts)
    return holder[key]
