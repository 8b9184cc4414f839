"""The house itself: what Qt version is safe, what may load what, and that an installed copy is whole."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF

ROOT = Path(__file__).parent.parent

WITHOUT_QT = """
import sys

class Absent:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {"PySide6", "shiboken6", "pyqtgraph"}:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, Absent())
"""
"""Opens a Python program in which no Qt is installed."""


def run_python(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-W", "error", *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=120)


def test_qt_calls_keep_the_references_to_none() -> None:
    # PySide6 6.12.0 takes one away with each call on Python 3.11, and the program dies after some 5,000 of them.
    point = QPointF()
    before = sys.getrefcount(None)
    for _ in range(500):
        point.setX(1.0)
    assert sys.getrefcount(None) > before - 250


def test_the_whole_geometry_loads_without_qt_and_without_the_application() -> None:
    code = """
import importlib, pkgutil, geometry
names = [found.name for found in pkgutil.walk_packages(geometry.__path__, "geometry.")]
for name in names:
    importlib.import_module(name)
print(len(names))
loaded = {name.split(".")[0] for name in sys.modules}
sys.exit(", ".join(sorted(loaded & {"app", "PySide6", "shiboken6", "pyqtgraph"})))
"""
    done = run_python("-c", WITHOUT_QT + code)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 10


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.Path:
    folder = tmp_path_factory.mktemp("wheel")
    done = run_python("-m", "hatchling", "build", "-t", "wheel", "-d", str(folder))
    assert done.returncode == 0, done.stderr
    return zipfile.Path(next(folder.glob("wheelroom-*.whl")))


def test_the_wheel_holds_exactly_the_two_packages(wheel: zipfile.Path) -> None:
    folders = {item.name for item in wheel.iterdir() if not item.name.endswith(".dist-info")}
    assert folders == {"app", "geometry"}


def test_the_wheel_holds_every_file_of_the_assets(wheel: zipfile.Path) -> None:
    shipped = [path for path in (ROOT / "assets").rglob("*") if path.is_file()]
    assert {".svg", ".desktop", ".json"} <= {path.suffix for path in shipped}
    for path in shipped:
        packed = wheel / "app" / "assets" / path.relative_to(ROOT / "assets").as_posix()
        assert packed.read_bytes() == path.read_bytes()
