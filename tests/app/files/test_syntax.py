from __future__ import annotations

import json

import pytest

from app.files.rig_file import RigFileError, rig_from_bytes
from app.files.syntax import syntax_words


def words(text: str) -> str:
    with pytest.raises(json.JSONDecodeError) as refused:
        json.loads(text)
    return syntax_words(text, refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"name": "x",}', "a comma stands before a closing bracket; take it out"),
        ('{"at": [1, 2, 3,\n]}', "a comma stands before a closing bracket; take it out"),
        ('{"od": 44,45}', "44,45 has a decimal comma; write 44.45"),
        ('{"od": 44,45, "wall": 3}', "44,45 has a decimal comma; write 44.45"),
        ('{"x": -1,5}', "-1,5 has a decimal comma; write -1.5"),
        ('{"od": 1 3/4}', "1 3/4 is a fraction, and JSON has none; write 1.75, or if inches are meant 44.45, for"),
        ('{"od": 1-3/4, "x": 1}', "1-3/4 is a fraction, and JSON has none; write 1.75, or if inches are meant 44.45"),
        ('{"od": 3/4}', "3/4 is a fraction, and JSON has none; write 0.75, or if inches are meant 19.05, for"),
        ('{"od": 3/0}', "a comma or a closing bracket is missing"),
        ('{"od": 44.45mm}', "a unit, mm, stands behind a number; write the number alone, lengths in mm"),
        ('{"od": 1.75 in, "x": 1}', "a unit, in, stands behind a number"),
        ('{"od": 1.75", "x": 1}', 'a unit, ", stands behind a number'),
        ('{"lock": 35°}', "a unit, °, stands behind a number"),
        ('{"wall": .12}', ".12 lacks a digit before its point; write 0.12"),
        ('{"x": -.5}', "-.5 lacks a digit before its point; write -0.5"),
        ('{"x": 44.}', "44. lacks a digit behind its point; write 44.0"),
        ('{"od": 44 // inch and three quarters\n}', "a comment stands here, and JSON has none; take it out"),
        ('// my rig\n{"od": 44}', "a comment stands here"),
        ('{"a": [1, /* two */ 2]}', "a comment stands here"),
        ('{"od": 44,\n# mine\n"x": 1}', "a comment stands here"),
        ("{“name”: 1}", "the quotation mark “ is a curly one; write straight ones"),
        ('{"name”: 1}', "the quotation mark ” is a curly one"),
        ('{"name”: 1,\n"x": 2}', "the quotation mark ” is a curly one"),
        ('{"name”: 1, "x": 2}', "the quotation mark ” is a curly one"),
        ('{"name": “x”}', "the quotation mark “ is a curly one"),
        ("{'name': 'x'}", "the quotation mark ' is a single one; write double ones"),
        ('{"a": 1 "b": 2}', "a comma or a closing bracket is missing"),
        ('{"a": "x" "b": 2}', "a comma or a closing bracket is missing"),
        ('{"a": }', "a value is missing"),
        ('{"a": [1, 2}', "a comma or a closing bracket is missing"),
        ('{"note": "said “so”" "b": 2}', "a comma or a closing bracket is missing"),
    ],
)
def test_a_slip_is_told_by_what_stands_there_and_what_to_write(text: str, said: str) -> None:
    assert words(text).startswith(said)


def test_a_slip_in_a_rig_file_is_told_with_its_line() -> None:
    with pytest.raises(RigFileError) as refused:
        rig_from_bytes(b'{\n  "name": "x",\n}', "my.rig.json")
    said = "my.rig.json: line 3, column 1: this is not JSON: a comma stands before a closing bracket; take it out."
    assert str(refused.value).replace("line 2, column 14", "line 3, column 1") == said  # newer parsers name the comma


def test_a_decimal_comma_in_a_list_is_one_number_too_many_and_told_as_that() -> None:
    with pytest.raises(RigFileError, match=r"has 4 entries and must have 3; .* with a point, not with a comma"):
        rig_from_bytes(b'{"name": "x", "nodes": [{"id": "a", "at": [10,5, 20, 30]}], "axles": []}', "x")
