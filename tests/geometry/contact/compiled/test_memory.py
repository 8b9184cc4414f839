"""The compiler's own code does not stay in memory, and libraries that it does not need stay out."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

from geometry.contact.compiled.memory import COMPILER, give_back, without


def resident_code(library: str) -> int:
    """Memory that the code of a library takes [kB]."""
    total, inside = 0, False
    for line in Path("/proc/self/smaps").read_text(encoding="utf-8").splitlines():
        words = line.split()
        if not words[0].endswith(":"):
            inside = words[1] == "r-xp" and library in line
        elif inside and words[0] == "Rss:":
            total += int(words[1])
    return total


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="others have no such call")
def test_the_code_of_the_compiler_is_given_back_and_still_runs() -> None:
    compiler = pytest.importorskip("llvmlite.binding")

    def run() -> str:
        name: str = compiler.parse_assembly("define i32 @one() { ret i32 1 }").get_function("one").name
        return name

    assert run() == "one"
    assert resident_code(COMPILER) > 0
    give_back()
    assert resident_code(COMPILER) == 0
    assert run() == "one"


def test_a_library_is_kept_out_and_found_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, "this", raising=False)
    with without("this"), pytest.raises(ImportError):
        importlib.import_module("this")
    assert "this" not in sys.modules


def test_a_library_that_is_in_use_stays() -> None:
    with without("sys"):
        assert importlib.import_module("sys") is sys
