"""The house once more: nothing that reads files of strangers can run code, start a program or write where it likes."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent

NEVER_CALLED = {"eval", "exec", "compile", "__import__"}
NEVER_LOADED = {
    "pickle",
    "marshal",
    "shelve",
    "dill",
    "yaml",
    "xml",
    "lxml",
    "runpy",
    "socket",
    "urllib",
    "http",
    "tarfile",
    "zipfile",
}
"""What runs code that stands in a file, expands entities, or fetches and unpacks."""

READERS = ("files", "importing", "keeping", "underlays", "canvas")
"""Packages of the application that files of strangers come into."""
HELD = {"subprocess", "ctypes", "importlib", "multiprocessing", "shutil", "os"}
CHANGING = {
    "write_text",
    "write_bytes",
    "unlink",
    "rename",
    "mkdir",
    "rmdir",
    "touch",
    "symlink_to",
    "hardlink_to",
    "chmod",
    "rmtree",
}
ALLOWED = {
    ("files/saving.py", "os"),  # every file that is written is written here
    ("files/saving.py", "shutil"),
    ("files/saving.py", "unlink"),
    ("files/saving.py", "chmod"),
    ("files/pdf_page.py", "os"),  # starts our own module, which draws a page
    ("files/pdf_page.py", "subprocess"),
    ("files/pictures.py", "mkdir"),  # within the folder of the rig
    ("files/results.py", "a+b"),  # to a file that the builder names
    ("files/results.py", "os"),
    ("keeping/claims.py", "mkdir"),  # in the state folder, as the next ones
    ("keeping/claims.py", "os"),
    ("keeping/recovery.py", "unlink"),
}


def sources(*tops: str) -> Iterator[tuple[str, ast.AST]]:
    for top in tops:
        for path in sorted((ROOT / top).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                yield path.relative_to(ROOT).as_posix().removeprefix("app/"), node


def loaded(node: ast.AST) -> set[str]:
    if isinstance(node, ast.Import):
        return {alias.name.partition(".")[0] for alias in node.names}
    if isinstance(node, ast.ImportFrom):
        return {(node.module or "").partition(".")[0]}
    return set()


def called(node: ast.AST) -> str:
    if not isinstance(node, ast.Call):
        return ""
    return node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")


def test_nothing_runs_code_from_a_file_or_fetches_any() -> None:
    found = [
        (path, name)
        for path, node in sources("app", "geometry")
        for name in (loaded(node) & NEVER_LOADED)
        | ({called(node)} & NEVER_CALLED if isinstance(getattr(node, "func", None), ast.Name) else set())
    ]
    assert found == []


def test_what_reads_files_writes_and_starts_nothing_but_what_is_known() -> None:
    found = set()
    for path, node in sources(*(f"app/{reader}" for reader in READERS)):
        found |= {(path, name) for name in loaded(node) & HELD}
        if called(node) in CHANGING:
            found.add((path, called(node)))
        if called(node) == "open" and isinstance(node, ast.Call):
            modes = {arg.value for arg in node.args if isinstance(arg, ast.Constant) and isinstance(arg.value, str)}
            found |= {(path, mode) for mode in modes if set(mode) & set("wax+")}
    assert found == ALLOWED
