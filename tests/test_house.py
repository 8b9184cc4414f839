"""The house itself: what Qt version is safe, what may load what, and that an installed copy is whole."""

from __future__ import annotations

import os
import re
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
        if name.split(".")[0] in {"PySide6", "shiboken6", "pyqtgraph", "ezdxf"}:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, Absent())
"""
"""Opens a Python program in which no Qt is installed, nor the library for drawings, which loads slowly as well."""


def run_python(*arguments: str, path: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run Python in a folder that holds nothing of ours, with `path` as the one place to import the program from."""
    return subprocess.run(
        [sys.executable, "-W", "error", *arguments],
        cwd=path.anchor,
        env={**os.environ, "PYTHONPATH": str(path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_link_of_the_papers_leads_somewhere(name: str) -> None:
    links = re.findall(r"\]\(([^)#]+)\)", (ROOT / name).read_text(encoding="utf-8"))
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_the_readme_names_every_outside_check() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    checks = [path.name for path in (ROOT / "tests" / "outside").glob("test_*.py")]
    assert [name for name in checks if f"(tests/outside/{name})" not in readme] == []


def test_the_developers_tree_names_every_package_and_every_module_of_the_application() -> None:
    tree = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("```")[3]
    packages = {path.parent for top in ("app", "geometry") for path in (ROOT / top).rglob("*.py")}
    names = {f"{package.name}/" for package in packages} | {path.name for path in (ROOT / "app").glob("*.py")}
    assert {name for name in names - {"__init__.py"} if name not in tree} == set()


def test_the_one_test_of_the_developers_paper_is_there() -> None:
    named = re.findall(r"-m pytest (tests/\S+\.py)::(\w+)", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    assert named
    for path, test in named:
        assert f"def {test}(" in (ROOT / path).read_text(encoding="utf-8")


def test_every_test_that_the_developers_paper_names_for_a_habit_is_there() -> None:
    paper = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"^\| .* \| `([\w/.]+)::(\w+)` \|$", paper, flags=re.MULTILINE)
    assert len(named) > 100
    for path, test in named:
        assert f"def {test}(" in (ROOT / "tests" / path).read_text(encoding="utf-8"), test


def test_the_papers_name_the_program_where_it_is_installed() -> None:
    for name in ("README.md", "DEVELOPERS.md"):
        paper = (ROOT / name).read_text(encoding="utf-8")
        assert re.findall(r"(?<!/)\bwheelroom (?:check|widths|study|report|schema|open)\b", paper) == []


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
sys.exit(", ".join(loaded & {"app", "PySide6", "shiboken6", "pyqtgraph"}) or 0)
"""
    done = run_python("-c", WITHOUT_QT + code)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 10


def test_a_rig_is_checked_without_qt() -> None:
    code = "from app.__main__ import main; sys.exit(main(sys.argv[1:]))"
    done = run_python("-c", WITHOUT_QT + code, "check", str(ROOT / "assets" / "1-short-two-seat.rig.json"))
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout.startswith("Touches")


def test_the_first_picture_waits_for_nothing_that_it_does_not_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = """
import sys
from app import loading
loading.begin()
early = set(sys.modules)
from PySide6.QtWidgets import QApplication
from app import starting, window
from geometry.motion.pose_map import pose_map
class Window(window.MainWindow):
    def show(self):
        self.painted.disconnect()  # from the search
        self.painted.connect(lambda: print(*early, "", *sys.modules, "", pose_map.cache_info().currsize, sep="\\n"))
        self.painted.connect(QApplication.exit)
        super().show()
window.MainWindow = Window
sys.exit(starting.run())
"""
    for folder in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(folder, str(tmp_path))
    done = run_python("-c", code)
    assert done.returncode == 0, done.stderr
    early, loaded, maps = (set(block.split()) for block in done.stdout.split("\n\n"))
    assert maps == {"0"}  # made for the first answer, not to draw by
    assert loaded & {"ezdxf", "numba", "scipy", "pyqtgraph", "importlib.metadata", "app.keeping.offering"} == set()
    late = ("contact.search", "contact.crossing", "contact.width", "contact.travel_map", "contact.compiled.ready")
    assert loaded & {f"geometry.{name}" for name in late} == set()
    panels = ("tables.page", "lengths_dialog", "notes_list", "help_window", "details", "rig_list", "draw_panel")
    assert loaded & {f"app.panels.{name}" for name in panels} == set()
    assert [name for name in loaded if name.startswith(("app.panels.records", "app.panels.plots", "app.figures"))] == []
    # Qt's bindings read the source of all that is imported after them
    assert {
        name for name in loaded - early if name.split(".")[0] in {"geometry", "numpy", "shapely", "msgspec"}
    } == set()
    assert "PySide6" in loaded - early


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, unpacked as an installer would."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, capture_output=True, check=True, timeout=120)
    with zipfile.ZipFile(next(folder.glob("wheelroom-*.whl"))) as packed:
        packed.extractall(folder / "installed")
    return folder / "installed"


def test_the_wheel_holds_exactly_the_two_packages(wheel: Path) -> None:
    folders = {path.name for path in wheel.iterdir() if path.suffix != ".dist-info"}
    assert folders == {"app", "geometry"}


@pytest.mark.parametrize(("source", "installed"), [("assets", "app/assets"), ("app/help", "app/help")])
def test_the_wheel_holds_all_that_is_not_code(wheel: Path, source: str, installed: str) -> None:
    shipped = [path for path in (ROOT / source).rglob("*") if path.is_file()]
    assert shipped
    for path in shipped:
        assert (wheel / installed / path.relative_to(ROOT / source)).read_bytes() == path.read_bytes()


def test_an_installed_copy_finds_its_own_demo_rigs_schema_icon_and_help(wheel: Path) -> None:
    code = """
from app.files.assets import asset_path, demo_rigs
from app.panels.help_window import PAGES
print(*demo_rigs(), asset_path("rig.schema.json"), asset_path("icons/wheelroom.svg"), PAGES / "index.md", sep="\\n")
"""
    done = run_python("-c", code, path=wheel)
    assert done.returncode == 0, done.stderr
    found = [Path(line) for line in done.stdout.splitlines()]
    assert len(found) >= 5
    for path in found:
        assert path.is_file()
        assert path.is_relative_to(wheel / "app")
