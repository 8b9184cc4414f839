"""The help pages say what is so: every link leads somewhere, and the file reference is the file."""

from __future__ import annotations

import re
from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import QUrl
from PySide6.QtGui import QImage, QTextDocument
from pytestqt.qtbot import QtBot

from app.commands import run
from app.panels.help_window import HelpWindow
from app.units import LengthUnit
from geometry.rig.rig import Rig

HELP = Path(__file__).parents[3] / "app" / "help"
PAGES = sorted(HELP.glob("*.md"))
REFERENCE = (HELP / "rig-file.md").read_text(encoding="utf-8")
RECORDS = {
    name: schema
    for name, schema in msgspec.json.schema_components([Rig], ref_template="{name}")[1].items()
    if "properties" in schema
}
"""JSON schema of every record that a file can hold, by name."""


def links(page: Path) -> set[str]:
    return set(re.findall(r"(?<!!)\[[^]]+\]\(([^)]+)\)", page.read_text(encoding="utf-8")))


def pictures(page: Path) -> set[str]:
    return set(re.findall(r"!\[[^]]+\]\(([^)]+)\)", page.read_text(encoding="utf-8")))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_page(page: Path) -> None:
    # The viewer knows no headings as targets, so that a link with a fragment would go nowhere.
    assert links(page) <= {there.name for there in PAGES}


def test_the_viewer_finds_every_picture_in_two_sizes_and_no_other_is_shipped(qtbot: QtBot) -> None:
    viewer = HelpWindow()
    qtbot.addWidget(viewer)
    for page in PAGES:
        viewer.show_page(page.name)
        for picture in pictures(page):
            found = viewer.pages.loadResource(QTextDocument.ResourceType.ImageResource, QUrl(picture))
            single, double = QImage(), QImage(str(HELP / picture.replace(".png", "@2x.png")))
            assert single.loadFromData(found)
            assert double.size() == 2 * single.size()
    named = {name for page in PAGES for picture in pictures(page) for name in (picture, picture.replace(".", "@2x."))}
    assert {file.name for file in HELP.iterdir() if file.suffix != ".md"} == named


def test_every_page_is_reached_from_the_first() -> None:
    assert links(HELP / "index.md") == {page.name for page in PAGES} - {"index.md"}


def test_the_file_reference_has_a_section_for_each_record() -> None:
    assert set(re.findall(r"^## ([A-Z][A-Za-z]+)$", REFERENCE, flags=re.MULTILINE)) == set(RECORDS)


@pytest.mark.parametrize("name", sorted(RECORDS))
def test_the_file_reference_lists_each_field_with_its_default(name: str) -> None:
    section = re.split(r"^## ", REFERENCE.partition(f"## {name}\n")[2], flags=re.MULTILINE)[0]
    listed = dict(re.findall(r"^\| `(\w+)` \|.*\| ([^|]+) \|$", section, flags=re.MULTILINE))
    record = RECORDS[name]
    assert list(listed) == list(record["properties"])
    for field, schema in record["properties"].items():
        said = listed[field]
        assert (said == "–") == (field in record.get("required", ())), field
        if said.startswith("`"):
            assert msgspec.json.decode(said.strip("`")) == schema.get("default", schema.get("enum", [None])[0]), field
        elif said == "as listed there":
            assert "$ref" in schema, field
        elif said != "–":
            assert schema.get("default") in (None, ()), field


def test_the_example_of_the_file_reference_is_a_rig() -> None:
    example = REFERENCE.partition("```json\n")[2].partition("```")[0]
    assert msgspec.json.decode(example, type=Rig).axles[0].id == "rear"


@pytest.mark.parametrize(
    "command",
    ["check", "widths", "study", "report", "numbers", "cut-sheet", "curves", "convert", "schema", "install-desktop"],
)
def test_the_command_line_page_names_every_option(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    page = (HELP / "command-line.md").read_text(encoding="utf-8")
    with pytest.raises(SystemExit):
        run([command, "--help"], lambda _: 0)
    offered = set(re.findall(r"^  (--[a-z]+)", capsys.readouterr().out, flags=re.MULTILINE))
    listed = re.findall(r"^\| (`--.*?) \| ([a-z, -]+) \|", page, flags=re.MULTILINE)
    said = {option for options, where in listed if command in where for option in re.findall(r"--[a-z]+", options)}
    assert said == offered


def test_the_command_line_page_names_every_unit() -> None:
    page = (HELP / "command-line.md").read_text(encoding="utf-8")
    assert all(f"`{unit}`" in page for unit in LengthUnit)
