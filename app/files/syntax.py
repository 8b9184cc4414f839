"""What keeps a text from being JSON, in words: the slips of people who write it by hand, and the rest."""

from __future__ import annotations

import re
from fractions import Fraction
from json import JSONDecodeError
from typing import Final

from geometry.rig.wheel import INCH

_SYNTAX: Final = {
    "Expecting value": "a value is missing",
    "Expecting property name enclosed in double quotes": "a field name in double quotes is missing",
    "Expecting ':' delimiter": "a colon is missing",
    "Expecting ',' delimiter": "a comma or a closing bracket is missing",
    "Extra data": "something stands behind the end",
    "Unterminated string starting at": "a text is not closed",
    "Invalid control character at": "a text holds a line break or another control character",
    "Invalid \\escape": "a backslash stands before a wrong letter",
    "Invalid \\uXXXX escape": "a backslash and u lack their four digits",
}
"""What the JSON parser says, and our words for it."""

_CURLY: Final = "“”„‟‘’‚«»″′"
_TORN: Final = ("Unterminated string", "Invalid control character", "Expecting ':'")
_MIXED = re.compile(r"(?:(?P<whole>\d+)[ \t-]+)?(?P<above>\d+)/(?P<below>0*[1-9]\d*)")
_NUMBER_BEFORE = re.compile(r"(?<![\w.])-?[\d.]+[ \t]*$")
_UNIT = re.compile(r"[ \t]*(mm|cm|m|in|inch|inches|ft|deg|degrees|°|\"|')(?=\s*[,}\]])")


def syntax_words(text: str, error: JSONDecodeError) -> str:
    """What stands at the place of an error and what to write instead; no capital, no full stop."""
    before, after = text[: error.pos], text[error.pos :].lstrip()
    line = before.rpartition("\n")[2]
    if error.msg.startswith(_TORN) and (words := _torn(line, after)):
        return words
    for slip in (_quotation, _comment, _last_comma, _decimal_comma, _fraction, _unit, _bare_point):
        if words := slip(line if slip is not _last_comma else before.rstrip(), after):
            return words
    return _SYNTAX.get(error.msg, error.msg)


def _torn(before: str, after: str) -> str:
    """A text that begins with a straight mark and ends with a curly one runs on to the next straight one."""
    return next((_quotation("", sign) for sign in before + after.partition("\n")[0] if sign in _CURLY), "")


def _quotation(_: str, after: str) -> str:
    if after and after[0] in _CURLY:
        return f'the quotation mark {after[0]} is a curly one; write straight ones, as in "id"'
    return 'the quotation mark \' is a single one; write double ones, as in "id"' if after[:1] == "'" else ""


def _comment(_: str, after: str) -> str:
    if after.startswith(("//", "/*", "#")):
        return "a comment stands here, and JSON has none; take it out, its words can go into “note”"
    return ""


def _last_comma(before: str, after: str) -> str:
    if (before.endswith(",") and after[:1] in {"}", "]"}) or re.match(r",\s*[}\]]", after):
        return "a comma stands before a closing bracket; take it out"
    return ""


def _decimal_comma(before: str, after: str) -> str:
    whole, part = re.search(r"(?<![\w.,])(-?\d+),$", before), re.match(r"\d+(?=\s*[,}\]])", after)
    if whole and part:
        return f"{whole[1]},{part[0]} has a decimal comma; write {whole[1]}.{part[0]}"
    return ""


def _fraction(before: str, after: str) -> str:
    number = _NUMBER_BEFORE.search(before)
    blank = " " if number and after[:1].isdigit() else ""
    found = _MIXED.match(f"{number[0].strip()}{blank}{after}") if number else None
    if found is None:
        return ""
    value = int(found["whole"] or 0) + Fraction(int(found["above"]), int(found["below"]))
    return (
        f"{found[0]} is a fraction, and JSON has none; write {float(value):.6g}, or if inches are meant "
        f"{float(value) * INCH:.8g}, for lengths are in mm"
    )


def _unit(before: str, after: str) -> str:
    found = _UNIT.match(after) if _NUMBER_BEFORE.search(before) else None
    if found is None:
        return ""
    return f"a unit, {found[1]}, stands behind a number; write the number alone, lengths in mm and angles in degrees"


def _bare_point(before: str, after: str) -> str:
    if found := re.match(r"([-+]?)(\.\d+)", after):
        return f"{found[0]} lacks a digit before its point; write {found[1].strip('+')}0{found[2]}"
    whole = re.search(r"(?<![\w.])(-?\d+)$", before)
    if whole and re.match(r"\.(?!\d)", after):
        return f"{whole[1]}. lacks a digit behind its point; write {whole[1]}.0"
    return ""
