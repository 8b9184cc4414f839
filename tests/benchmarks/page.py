"""The help page on speed: its tables and pictures are those of a run, its words are written by hand."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.clock import machine
from tests.benchmarks.pictures import Picture, save

HELP = Path(__file__).parents[2] / "app" / "help"
PAGE = HELP / "speed.md"


def write_table(rows: Sequence[Sequence[str]]) -> None:
    """Put rows below the head of the table whose first row they open with, and say when and on what that was."""
    head = f"| {' | '.join(rows[0])} |\n"
    text = PAGE.read_text(encoding="utf-8")
    before, found, after = text.partition(head)
    assert found, f"{PAGE.name} has no table with the head {head}"
    rule, after = after.split("\n", 1)
    after = re.sub(r"\A(\|.*\n)*", "", after)
    body = "".join(f"| {' | '.join(row)} |\n" for row in rows[1:])
    text = f"{before}{head}{rule}\n{body}{after}"
    text = re.sub(r"^Measured on.*$", f"Measured on {machine()}.", text, flags=re.MULTILINE)
    PAGE.write_text(text, encoding="utf-8")


def write_picture(picture: Picture, name: str) -> None:
    save(picture, HELP / name)
