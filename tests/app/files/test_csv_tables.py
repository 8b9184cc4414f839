from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.csv_tables import read_table, read_tables, write_table, write_tables
from app.files.imported import (
    LARGEST,
    UNITS,
    Imported,
    ImportFileError,
    Link,
    UnitMissingError,
    about_rig,
    joined,
    merged,
)
from app.files.rig_file import read_rig
from geometry.errors import RigError
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig
from tests.geometry.rig.rigs import small_rig

NODES = "node,x [in],y [in],z [in]\nn1,10,1.5,60 3/16\n"
N1 = Node(id="n1", at=(254.0, 38.1, 1528.7625))


def demo_rig() -> Rig:
    return read_rig(demo_rigs()[1])


def refusal(text: str | bytes, unit: str | None = "mm") -> str:
    with pytest.raises(ImportFileError) as refused:
        read_tables(text if isinstance(text, bytes) else text.encode(), unit)
    sentence = str(refused.value)
    assert sentence.isprintable()
    assert len(sentence) < 400
    assert sentence.endswith(".")
    return sentence


# Round trips


@pytest.mark.parametrize("unit", UNITS)
def test_the_import_of_an_export_gives_the_same_rig_to_the_last_digit(unit: str) -> None:
    rig = demo_rig()
    moved = Node(id="odd", at=(0.1 + 0.2, -1.0 / 3.0, 1e-7))
    rig = replace(rig, nodes=(*rig.nodes, moved), bars=(replace(rig.bars[0], name="=1+1"), *rig.bars[1:]))
    bare = replace(rig, nodes=(), bars=(), panels=())
    data = write_tables(rig, unit)
    assert b",=1+1," not in data
    assert merged(bare, read_tables(data), instead=True) == rig


@given(st.floats(-20000.0, 20000.0), st.sampled_from(sorted(UNITS)))
def test_any_length_reads_back_as_written(mm: float, unit: str) -> None:
    node = Node(id="n", at=(mm, 0.0, 0.0))
    assert read_table(write_table("node", [node], unit), "node") == (node,)


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30).map(str.strip))
def test_any_name_reads_back_as_written(name: str) -> None:
    bar = Bar(id="b", name=name, nodes=("a", "b'"), od=44.45, wall=3.05, mirrored=True)
    assert read_table(write_table("bar", [bar], delimiter="\t"), "bar") == (bar,)


# Reading


@pytest.mark.parametrize(
    "text",
    [
        NODES,
        "\ufeff" + NODES,
        NODES.replace("\n", "\r\n"),
        NODES.replace(",", ";").replace("1.5", "1,5"),
        NODES.replace(",", "\t"),
        'Name\tX (mm)\ty, mm\tz mm\n\n"n1"\t"254,0"\t38,1\t1528,7625\n',
        'Nodes,,,\nid,x_in,y [inch],z ["]\nn1,10in,38.1 mm,"60 3/16"""\n',
        "z [cm];x [m];y [ft];node;\n152,87625;0,254;0,125;n1;\n",
    ],
    ids=["plain", "mark", "crlf", "decimal comma", "tabs", "mixed", "inch signs", "metres"],
)
def test_nodes_come_in_from_all_that_spreadsheets_write(text: str) -> None:
    assert read_tables(text.encode()).nodes == (N1,)


def test_tables_stand_one_below_another_and_come_in_with_a_report() -> None:
    text = (
        NODES + "n2,0,0,0\n\nBars\n"
        "bar,from,to,od [in],wall,colour\nMain hoop,n1,n2,1 3/4,.120 in,red\n"
        "panel,corners,thickness [mm],fitted\np,n1 n2 n1’ / n1 n2 n1',2,no\n"
    )
    found = read_tables(text.encode())
    assert found.bars == (Bar(id="Main-hoop", name="Main hoop", nodes=("n1", "n2"), od=44.45, wall=3.048),)
    assert found.panels == (Panel(id="p", facets=(("n1", "n2", "n1'"),) * 2, thickness=2.0, fitted=False),)
    assert found.report == (
        "Came in: 2 nodes, 1 bar, 1 panel.",
        "Column “colour” of the bars left out: its title is not known.",
    )


def test_a_pasted_table_needs_no_header_and_nodes_no_names() -> None:
    assert read_table("n1\t10\t1.5\t60 3/16", "node", "in") == (N1,)
    assert read_table("1\t2\t3\n4\t5\t6\n", "node", "mm") == (
        Node(id="n1", at=(1.0, 2.0, 3.0)),
        Node(id="n2", at=(4.0, 5.0, 6.0)),
    )
    found = read_tables(b"1;2;3\n4;5;6", "mm")
    assert found.nodes[1].at == (4.0, 5.0, 6.0)
    rig = small_rig(nodes=[{"id": "n1", "at": [7.0, 8.0, 9.0]}], bars=[], panels=[])
    assert [node.id for node in merged(rig, found).nodes] == ["n1", "n2", "n3"]


def test_wide_text_of_spreadsheets_comes_in() -> None:
    assert read_tables(NODES.encode("utf-16")).nodes == (N1,)


def test_a_unit_that_the_header_lacks_is_asked_for() -> None:
    text = b"node,x,y,z\nn1,10,1.5,0\n"
    with pytest.raises(UnitMissingError, match=r"^Line 2, column “x”: “10” has no unit"):
        read_tables(text)
    assert read_tables(text, "in").nodes[0].at == (254.0, 38.1, 0.0)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "There is nothing in it"),
        (',,;\n""\n\x1c', "There is nothing in it"),
        (NODES + "\x0en2,1,2,3\n", "Line 3: “ n2” is not a usable name"),
        ("hello\n", "Line 1: no table begins here"),
        (NODES + "n2,1,2\n", "Line 3: “z” is empty"),
        (NODES + "n2,1,2,3,4\n", "Line 3: there are more cells than titles"),
        (NODES + "n2,abc,2,3\n", "Line 3, column “x”: “abc” is out of place"),
        (NODES + 'n2,"12,500",2,3\n', "Line 3, column “x”: “12,500” can be read two ways"),
        ("node;x [mm];y [mm];z [mm]\na;1,5;1.234;0\n", "Line 2, column “y”: “1.234” can be read two ways"),
        (NODES + "n2,1e999,2,3\n", "Line 3, column “x”: “1e999” is too large"),
        (NODES + "n2,nan,2,3\n", "Line 3, column “x”: “nan” is out of place"),
        (NODES + "n2,1e9,2,3\n", "Line 3: number 1 of “at” is 2.54e+10 mm"),
        (NODES + "n 2,1,2,3\n", "Line 3: “n 2” is not a usable name"),
        (NODES + "n1,1,2,3\n", "There are two nodes “n1”"),
        ("bar,nodes,od [mm],wall [mm]\nb,n1,40,3\n", "Line 2: nodes has 1 entries"),
        ("bar,nodes,od [mm],wall [mm],mirrored\nb,n1 n2,40,3,perhaps\n", "Line 2, column “mirrored”: “perhaps”"),
        ("node,x [mm],X [mm],y [mm],z [mm]\n", "Line 1: the column “x” is there twice"),
        ("node,x [mm],y [mm],z [mm]\n", "There is a header but no row"),
        (b"node,x\x00\x01\x02", "This is no table of text"),
        ("node,x [mm],y [mm],z [mm]\nä,1,2,3\n".encode("latin-1"), "Line 2: this is not UTF-8"),
        (b"x\n" * 20_000_000, "There are more than 20,000 rows"),
        (NODES + "\n" * 10_000_000, "There are more than 20,000 rows"),
        (NODES * 1001, "There are more than 1,000 headers"),
        (NODES + "n9,1,1,1\n" * 20001, "There are more than 20,000 rows"),
        (b"x" * (LARGEST + 1), "The file is larger than 50 MB"),
        (NODES + 'n2,"' + "1" * 200_000, "Line 3: a cell does not end"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_a_sentence(text: str | bytes, sentence: str) -> None:
    assert refusal(text).startswith(sentence)


# Joining the rig


def test_a_table_replaces_parts_of_the_same_name_and_adds_the_rest() -> None:
    rig = small_rig()
    first = replace(rig.nodes[0], at=(1.0, 2.0, 3.0))
    new = Node(id="brand-new", at=(0.0, 0.0, 9.0))
    after = merged(rig, Imported((new, first)))
    assert after.nodes == (first, *rig.nodes[1:], new)
    assert (after.bars, after.axles) == (rig.bars, rig.axles)
    assert about_rig(rig, Imported((new, first))) == ("Replaced: 1 node, of the same name that the rig had.",)
    assert about_rig(rig, Imported((new,)), instead=True) == (
        "Replaced: 7 nodes, 3 bars, 1 panel, all that the rig had.",
    )


def test_links_of_a_table_replace_those_of_their_axle() -> None:
    rig = small_rig()
    axle = rig.axles[0]
    link = Link(axle=axle.id, rod=replace(axle.rods[1], od=60.0))
    after = merged(rig, read_tables(write_table("link", [link], delimiter=",").encode()))
    assert after.axles[0].rods == (axle.rods[0], link.rod, *axle.rods[2:])
    bolted = replace(axle.rods[1], chassis_bolt=(0.0, 1.0, 0.0), axle_limit_deg=25.0)  # of which no table tells
    known = replace(rig, axles=(replace(axle, rods=(axle.rods[0], bolted, *axle.rods[2:])), *rig.axles[1:]))
    assert merged(known, Imported(links=(link,))).axles[0].rods[1] == replace(bolted, od=60.0)
    stray = replace(link, axle="third")
    assert merged(rig, Imported(links=(stray,))) == rig
    assert about_rig(rig, Imported(links=(stray,))) == (
        "Link rod1 left out: the rig has no axle “third”, only front, rear.",
    )


def test_nodes_without_names_of_their_own_give_way_to_those_of_the_rig() -> None:
    rig = small_rig()
    here = rig.nodes[0]
    taken, stranger = Node(id=here.id, at=(5.0, 5.0, 5.0)), Node(id="other", at=here.at)
    bar = Bar(id=rig.bars[0].id, nodes=(f"{here.id}'", "other"), od=40.0, wall=3.0)
    made = frozenset({f"node {taken.id}", "node other", f"bar {bar.id}"})
    after = merged(rig, Imported((taken, stranger), (bar,), made=made))
    fresh = after.nodes[-1]
    assert len(after.nodes) == len(rig.nodes) + 1
    assert fresh.at == taken.at
    assert after.bars[-1].nodes == (f"{fresh.id}'", here.id)
    assert len({bar.id for bar in after.bars}) == len(rig.bars) + 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "nodes\nnode,x [mm],y [mm],z [mm]\nq8,1,2,3\n\nbar,nodes,od [mm],wall [mm]\nb1,q8 n0,40,2\nb7,q8 ZZ,40,2\n",
            "line 7, bar b7: there is no node “ZZ”",
        ),
        ("panel,corners\n\np,n0 n1 ZZ\n", "line 3, panel p: there is no node “ZZ”"),
        ("nodes,od [mm],wall [mm]\nZZ n1,40,2\n", "line 2, bar bar-1: there is no node “ZZ”"),
    ],
)
def test_what_the_rig_cannot_take_is_told_by_its_line(text: str, said: str) -> None:
    rig = small_rig()
    renamed = (replace(node, id=f"n{k}") for k, node in enumerate(rig.nodes))
    rig = replace(rig, nodes=tuple(renamed), bars=(), panels=())
    with pytest.raises(RigError) as refused:
        joined(rig, read_tables(text.encode()))
    assert str(refused.value).startswith(said)


def test_a_fault_of_the_rig_itself_is_given_no_line_of_the_table() -> None:
    rig = small_rig()
    a, b = (next(node for node in rig.nodes if node.id == ref.rstrip("'")) for ref in rig.bars[0].nodes[:2])
    table = write_table("node", [replace(b, at=a.at)]).encode()
    with pytest.raises(RigError) as refused:
        joined(rig, read_tables(table))
    assert refused.value.place.startswith("bars[0]")
