"""JSON Schemas out of the records themselves, with the meaning of each field from the records' docstrings."""

from __future__ import annotations

import inspect
import json
import re
from typing import Any

import msgspec

_ENTRY = re.compile(r"^(\w+(?:, \w+)*)(?: : .*)?$")


def schema_of(record: type[msgspec.Struct], title: str) -> bytes:
    """JSON Schema (draft 2020-12) of a record and all that it holds, as indented UTF-8 text."""
    schema = msgspec.json.schema(record)
    records = _records(record)
    for name, definition in schema["$defs"].items():
        _describe(definition, records[name])
    whole = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, **schema}
    return (json.dumps(whole, indent=2, ensure_ascii=False) + "\n").encode()


def _records(record: type[msgspec.Struct]) -> dict[str, type[msgspec.Struct]]:
    """All record types that a record holds, by name."""
    found: dict[str, type[msgspec.Struct]] = {}

    def visit(kind: object) -> None:
        if isinstance(kind, msgspec.inspect.StructType):
            if kind.cls.__name__ in found:
                return
            found[kind.cls.__name__] = kind.cls
            for field in kind.fields:
                visit(field.type)
        for inside in ("type", "item_type"):
            visit_inside = getattr(kind, inside, None)
            if visit_inside is not None:
                visit(visit_inside)
        for choice in (*getattr(kind, "types", ()), *getattr(kind, "item_types", ())):
            visit(choice)

    visit(msgspec.inspect.type_info(record))
    return found


def _describe(definition: dict[str, Any], record: type[msgspec.Struct]) -> None:
    summary, _, attributes = (inspect.getdoc(record) or "").partition("\nAttributes\n")
    definition["description"] = " ".join(summary.split())
    for names, words in _attributes(attributes):
        for name in names:
            if name in definition["properties"] and words:
                definition["properties"][name]["description"] = words


def _attributes(text: str) -> list[tuple[list[str], str]]:
    """Names and meanings of an Attributes section: a line of names, then indented lines."""
    entries: list[tuple[list[str], str]] = []
    for line in text.splitlines():
        if line.startswith(" ") and entries:
            names, words = entries[-1]
            entries[-1] = (names, f"{words} {line.strip()}".strip())
        elif found := _ENTRY.match(line):
            entries.append((found.group(1).split(", "), ""))
    return entries
