from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from app.files import rig_file
from app.files.assets import asset_path, demo_rigs
from app.files.rig_file import (
    LARGEST,
    RigFileError,
    read_rig,
    rig_from_bytes,
    rig_to_bytes,
    schema_bytes,
    write_rig,
)
from geometry.errors import RigError
from geometry.rig.build import AsBuilt, Build, BuildSide, Perch, Shaft
from geometry.rig.rig import VERSION
from tests.geometry.rig.rigs import REMOVED, plain_rig, small_rig, with_value

TEXT = rig_to_bytes(small_rig())


def refusal(data: bytes) -> RigFileError:
    with pytest.raises(RigFileError) as refused:
        rig_from_bytes(data, "my.rig.json")
    sentence = str(refused.value)
    assert sentence.startswith("my.rig.json: ")
    assert sentence.endswith(".")
    assert sentence.isprintable()
    assert len(sentence) < 1000
    return refused.value


def changed(place: str, value: object) -> bytes:
    return json.dumps(with_value(plain_rig(), place, value)).encode()


# Round trips


def test_a_rig_survives_saving_to_the_last_digit(tmp_path: Path) -> None:
    axle = replace(small_rig().axles[0], width=1600.1 + 1e-12, station=-0.0, height=0.1 + 0.2 + 450.0)
    rig = replace(small_rig(name="Müller’s “rig” \\ 5°"), axles=(axle, small_rig().axles[1]))
    path = tmp_path / "my.rig.json"
    write_rig(path, rig)
    again = read_rig(path)
    assert again == rig
    assert str(again.axles[0].station) == "-0.0"
    write_rig(path, again)
    assert path.read_bytes() == rig_to_bytes(rig)


@given(st.floats(min_value=-20000.0, max_value=20000.0))
def test_every_coordinate_survives(value: float) -> None:
    rig = rig_from_bytes(changed("nodes[6].at", [1200.0, 0.0, value]), "x") if abs(value - 500.0) > 1.0 else small_rig()
    assert rig_from_bytes(rig_to_bytes(rig), "x") == rig


@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.name)
def test_demo_rigs_stand_as_the_program_writes_them(path: Path) -> None:
    assert rig_to_bytes(read_rig(path)) == path.read_bytes()


def test_a_change_of_one_part_is_a_change_of_one_line() -> None:
    rig = small_rig()
    other = replace(rig, bars=(replace(rig.bars[0], od=50.8), *rig.bars[1:]))
    before, after = (rig_to_bytes(each).decode().splitlines() for each in (rig, other))
    assert len(before) == len(after)
    assert sum(a != b for a, b in zip(before, after, strict=True)) == 1


def test_nodes_bars_panels_and_rods_take_a_line_each() -> None:
    lines = TEXT.decode().splitlines()
    assert '    {"id": "b", "at": [1800.0, 600.0, 500.0]},' in lines
    assert sum(line.strip().startswith('{"id": ') for line in lines) == 7 + 3 + 1 + 4 + 4


def test_whole_numbers_are_written_like_the_others() -> None:
    lines = rig_to_bytes(rig_from_bytes(changed("axles[0].width", 1600), "x")).decode().splitlines()
    assert '      "width": 1600.0,' in lines


def test_numbers_and_flags_are_written_even_where_they_are_the_default() -> None:
    first = json.loads(TEXT)["bars"][1]
    assert first == {
        "id": "cross",
        "nodes": ["a", "a'"],
        "od": 38.1,
        "wall": 2.4,
        "bend_radius": 0.0,
        "mirrored": False,
    }


def test_what_is_known_of_the_build_survives_and_what_is_not_leaves_no_line(tmp_path: Path) -> None:
    side = BuildSide(end_addition=101.6, shaft=Shaft(stock=(800.0, 850.0)))
    build = Build(left=side, perches=(Perch(id="spring", at=480.0, width=63.5),))
    record = AsBuilt(date="2026-05-31", stage="welded", width=1601.5)
    rig = replace(small_rig(), axles=(replace(small_rig().axles[0], build=build, as_built=record),))
    path = tmp_path / "my.rig.json"
    write_rig(path, rig)
    assert read_rig(path) == rig
    written = json.loads(path.read_bytes())["axles"][0]
    assert written["build"]["left"] == {"end_addition": 101.6, "shaft": {"stock": [800.0, 850.0]}}
    assert written["as_built"] == {"date": "2026-05-31", "stage": "welded", "width": 1601.5}


def test_an_empty_name_of_the_rig_is_written_because_it_must_be_there() -> None:
    assert rig_from_bytes(rig_to_bytes(small_rig(name="")), "x").name == ""


def test_a_value_out_of_range_is_never_written(tmp_path: Path) -> None:
    path = tmp_path / "my.rig.json"
    rig = small_rig()
    with pytest.raises(RigError, match=r"axles\[0\]\.width"):
        write_rig(path, replace(rig, axles=(replace(rig.axles[0], width=float("nan")), rig.axles[1])))
    assert not path.exists()


def test_a_mark_at_the_start_of_the_text_is_no_matter() -> None:
    assert rig_from_bytes(b"\xef\xbb\xbf" + TEXT, "x") == small_rig()


# Refusals


@pytest.mark.parametrize(
    ("data", "place", "words"),
    [
        (b"", "line 1, column 1", "a value is missing"),
        (b'{"name": ', "line 1, column 10", "a value is missing"),
        (b'{\n  "name": "x"\n  "note": ""\n}', "line 3, column 3", "a comma or a closing bracket is missing"),
        (b"{name: 1}", "line 1, column 2", "a field name in double quotes is missing"),
        (b'{"name" "x"}', "line 1, column 9", "a colon is missing"),
        (b'{"name": "x}', "line 1, column 10", "a text is not closed"),
        (b'{"name": "a\nb"}', "line 1, column 12", "a line break or another control character"),
        (b'{"name": "\\q"}', "line 1, column 11", "a backslash stands before a wrong letter"),
        (TEXT + b"{}", "line ", "something stands behind the end"),
        (b'{"name":\n "\xff"}', "line 2", "is not UTF-8 text"),
        (b'{"name": "\\ud800"}', "", "half a character"),
        (b'{"x": ' + b"9" * 5000 + b"}", "", "thousands of digits"),
        (b"[" * 21 + b"]" * 21, "", "nested more than 20 levels deep"),
        (b"[" * 200_000, "", "nested more than 20 levels deep"),
        (b" " * (LARGEST + 1), "", "larger than 10 MB"),
        (b"[]", "", "must be a group of fields in braces, not a list"),
        (b"null", "", "must be a group of fields in braces, not null"),
        (b'{"a": 1, "b": 2, "a": 3}', "a", "stands there twice"),
        (TEXT.replace(b'"od": 44.45', b'"od": 44.45, "od": 50.8'), "bars[0].od", "stands there twice"),
        (TEXT.replace(b'"width": 1600.0', b'"width": NaN', 1), "axles[0].width", "is not a finite number"),
        (TEXT.replace(b'"width": 1600.0', b'"width": -Infinity', 1), "axles[0].width", "is not a finite number"),
        (TEXT.replace(b'"width": 1600.0', b'"width": 1e999', 1), "axles[0].width", "is not a finite number"),
        (changed("version", VERSION + 1), "version", f"newer than the {VERSION} this program reads"),
        (changed("version", "1"), "version", "must be a whole number, not a text"),
        (changed("format", "else"), "format", "must be “wheelroom-rig”"),
        (changed("axles[1].rods[2].od", "x"), "axles[1].rods[2].od (front, rod2)", "must be a number, not a text"),
        (changed("axles[1].rods[2].chassis", REMOVED), "axles[1].rods[2].chassis", "is missing; add it"),
        (changed("bars[2].nodes", ["m", "m"]), "bars[2].nodes[1]", "has no length"),
        (changed("nodes[0].id", "a\n"), "nodes[0].id", "is not a usable name"),
        (changed("nodes[0].id", "x" * 5000), "nodes[0].id", "must be at most 64"),
        (changed("axles[0].tire.size", "big\x1b[2J"), "axles[0].tire.size", "cannot read the tire size “big [2J”"),
        (json.dumps(plain_rig() | {"odd\nfield": 1}).encode(), "odd field", "is not a field of the rig file"),
        (json.dumps(plain_rig() | {"x" * 9999: 1}).encode(), "xxx", "is not a field of the rig file"),
    ],
)
def test_broken_files_are_refused_in_a_sentence_with_the_place(data: bytes, place: str, words: str) -> None:
    refused = refusal(data)
    assert refused.place.startswith(place)
    assert bool(refused.place) is bool(place)
    assert words in refused.problem


def test_brackets_inside_of_texts_are_no_nesting() -> None:
    name = '\\"[{[' * 20 + "\\\\"
    data = TEXT.replace(b'"Test rig"', f'"{name}"'.encode())
    assert rig_from_bytes(data, "x").name == '"[{[' * 20 + "\\"


def test_a_newer_file_is_said_to_be_newer_whatever_else_is_new_in_it() -> None:
    assert "newer" in refusal(json.dumps(plain_rig() | {"version": 9, "wheels": []}).encode()).problem


def test_older_files_are_brought_up_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    def from_minus_one(plain: dict[str, Any]) -> dict[str, Any]:
        return {**plain, "version": 0, "title": plain["title"].upper()}

    def from_zero(plain: dict[str, Any]) -> dict[str, Any]:
        return {**{key: plain[key] for key in plain if key != "title"}, "version": 1, "name": plain["title"]}

    monkeypatch.setattr(rig_file, "MIGRATIONS", {-1: from_minus_one, 0: from_zero})
    plain = plain_rig() | {"version": -1, "title": "old"}
    del plain["name"]
    assert rig_from_bytes(json.dumps(plain).encode(), "x") == small_rig(name="OLD")


def test_every_version_before_this_one_has_its_migration() -> None:
    assert sorted(rig_file.MIGRATIONS) == list(range(1, VERSION))


def test_a_file_of_every_version_that_there_was_opens() -> None:
    files = sorted((Path(__file__).parent / "versions").iterdir())
    assert [json.loads(path.read_bytes())["version"] for path in files] == list(range(1, VERSION + 1))
    for path in files:
        assert read_rig(path).axles


@pytest.mark.parametrize("kind", ["missing", "folder", "nul", "below a file"])
def test_what_is_no_file_is_refused_in_words(tmp_path: Path, kind: str) -> None:
    (tmp_path / "file").write_text("")
    path = {
        "missing": tmp_path / "none.rig.json",
        "folder": tmp_path,
        "nul": tmp_path / "a\0b",
        "below a file": tmp_path / "file" / "my.rig.json",
    }[kind]
    with pytest.raises(RigFileError) as refused:
        read_rig(path)
    assert "Errno" not in str(refused.value)


@given(st.data())
def test_no_damage_leaves_by_another_error(data: st.DataObject) -> None:
    text = bytearray(TEXT)
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text) - 1))
        piece = data.draw(
            st.sampled_from([b"", b"[", b"}", b'"', b",", b"9", b"-", b"e", b"null", b"\xff", b"\\", b"1e9"])
        )
        text[at : at + data.draw(st.integers(0, 3))] = piece
    try:
        rig = rig_from_bytes(bytes(text), "my.rig.json")
    except RigFileError as refused:
        sentence = str(refused)
    else:
        sentence = f"my.rig.json: {rig_from_bytes(rig_to_bytes(rig), 'again') == rig}."
    assert sentence.startswith("my.rig.json: ")
    assert not sentence.startswith("my.rig.json: False")


# Schema


def test_the_published_schema_is_that_of_the_records() -> None:
    assert asset_path("rig.schema.json").read_bytes() == schema_bytes()


def test_the_schema_is_sound_and_takes_every_demo_rig_and_refuses_what_the_program_refuses() -> None:
    schema = json.loads(schema_bytes())
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for path in demo_rigs():
        validator.validate(json.loads(path.read_bytes()))
    validator.validate(plain_rig())
    for place, value in [("bars[0].od", 0.0), ("colour", "red"), ("nodes[0].id", "a b"), ("axles[0].rods[3]", REMOVED)]:
        assert not validator.is_valid(with_value(plain_rig(), place, value))


def test_the_schema_says_what_the_fields_mean() -> None:
    schema = json.loads(schema_bytes())
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert "$id" not in schema
    fields = schema["$defs"]["Axle"]["properties"]
    assert "mounting face to mounting face [mm]" in fields["width"]["description"]
    assert fields["bump"]["description"] == fields["droop"]["description"]
    assert all(definition["description"] for definition in schema["$defs"].values())
    assert not any("Attributes" in definition["description"] for definition in schema["$defs"].values())


# Marks of unconfirmed values


def test_unconfirmed_values_take_a_line_each_and_none_takes_no_line() -> None:
    marked = small_rig(unconfirmed=("axles/rear/bump", "nodes/a/at"))
    text = rig_to_bytes(marked).decode()
    assert text.endswith('  "unconfirmed": [\n    "axles/rear/bump",\n    "nodes/a/at"\n  ]\n}\n')
    assert rig_from_bytes(text.encode(), "x") == marked
    assert b"unconfirmed" not in TEXT


def test_an_unconfirmed_value_that_there_is_not_is_refused() -> None:
    assert refusal(changed("unconfirmed", ["axles/rear/bmp"])).place == "unconfirmed[0]"


def test_masses_and_rules_survive_the_way_to_the_file_and_back() -> None:
    weighing = {
        "state": "empty",
        "rear_kg": 800.0,
        "front_kg": 900.0,
        "raised": "front",
        "lift": 500.0,
        "resting_kg": 850.0,
    }
    part = {"id": "tub", "mass_kg": 120.0, "at": [900.0, 0.0, 700.0], "aboard": "loaded"}
    limit = {"id": "trail", "name": "Club", "measure": "rim", "most": 2000.0}
    rig = small_rig(
        masses={"parts": [part, {"id": "later"}]} | {"measured": weighing},
        rules={"widths": [limit], "least_factor": 1.05, "most_pocket": 25.0},
        unconfirmed=["masses/parts/tub/mass_kg", "rules/widths/trail/most", "masses/measured/lift"],
    )
    assert rig_from_bytes(rig_to_bytes(rig), "there and back") == rig


def test_a_rig_without_them_is_written_as_it_was_before_there_were_any() -> None:
    text = rig_to_bytes(small_rig()).decode()
    assert "masses" not in text
    assert "rules" not in text
