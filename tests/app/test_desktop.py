"""The desktop learns of the program and of its files, and forgets both again."""

from __future__ import annotations

import configparser
import plistlib
import re
import tomllib
import xml.etree.ElementTree as ET
from fnmatch import fnmatchcase
from pathlib import Path

import pytest

from app import desktop
from app.commands import run
from app.desktop import RIG_TYPE, places, quoted
from app.files.assets import asset_path, demo_rigs
from app.files.rig_file import read_rig, rig_to_bytes

MIME = "{http://www.freedesktop.org/standards/shared-mime-info}"
VERSION = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"][
    "version"
]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "data ½"
    monkeypatch.setenv("XDG_DATA_HOME", str(folder))
    monkeypatch.setattr(desktop, "_REFRESH", ())
    return folder


def unquoted(argument: str) -> str:
    """One quoted argument of Exec as a desktop reads it: the escapes of strings first, then those of quoting."""
    string = re.sub(r"\\\\", r"\\", argument)
    assert (string[0], string[-1]) == ('"', '"')
    return re.sub(r"\\(.)", r"\1", string[1:-1])


def install(*options: str) -> int:
    return run(["install-desktop", *options], lambda _: 0)


def test_all_is_installed_for_the_user_and_removed_again(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert install() == 0
    files = {path for path in home.rglob("*") if path.is_file()}
    assert files == set(places(home))
    assert capsys.readouterr().out.splitlines() == [f"installed {path}" for path in places(home)]
    assert install("--remove") == 0
    assert [path for path in home.rglob("*") if path.is_file()] == []
    assert install("--remove") == 0
    assert "was not there" in capsys.readouterr().out


def test_the_desktop_entry_starts_this_program_with_the_file_and_names_its_kind(
    home: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    folder = tmp_path / 'a "b" $c `d` 100%'
    folder.mkdir()
    (folder / "wheelroom").touch()
    monkeypatch.setattr("sys.executable", str(folder / "python"))
    install()
    read = configparser.RawConfigParser()
    read.optionxform = str  # type: ignore[assignment,method-assign]
    read.read(home / "applications" / "wheelroom.desktop", encoding="utf-8")
    entry = dict(read["Desktop Entry"])
    assert entry["MimeType"] == f"{RIG_TYPE};"
    assert (home / "icons/hicolor/scalable/apps" / f"{entry['Icon']}.svg").is_file()
    started, _, given = entry["Exec"].rpartition(" ")
    assert unquoted(started).replace("%%", "%") == str(folder / "wheelroom")
    assert given == "%f"


def test_what_is_quoted_reads_back() -> None:
    for text in ("/usr/bin/wheelroom", "/my tools/x", 'q"uote', "back\\slash", "$HOME", "`x`"):
        assert unquoted(quoted(text)) == text


def test_rig_files_are_known_by_name_and_without_it_by_what_they_hold() -> None:
    kind = ET.parse(asset_path("wheelroom.xml")).getroot().find(f"{MIME}mime-type")  # noqa: S314  (our own file)
    assert kind is not None
    assert kind.get("type") == RIG_TYPE
    globs = [each.get("pattern", "") for each in kind.findall(f"{MIME}glob")]
    (match,) = kind.iter(f"{MIME}match")
    first, last = map(int, match.get("offset", "").split(":"))
    for path in demo_rigs():
        assert any(fnmatchcase(path.name, pattern) for pattern in globs)
        for content in (path.read_bytes(), rig_to_bytes(read_rig(path))):
            assert first <= content.find(match.get("value", "").encode()) <= last


def test_what_bundles_say_of_the_program_is_so() -> None:
    told = plistlib.loads(asset_path("bundles/Info.plist").read_bytes())
    assert told["CFBundleShortVersionString"] == told["CFBundleVersion"] == VERSION
    (exported,) = told["UTExportedTypeDeclarations"]
    assert exported["UTTypeTagSpecification"]["public.mime-type"] == RIG_TYPE
    assert told["CFBundleDocumentTypes"][0]["LSItemContentTypes"] == [exported["UTTypeIdentifier"]]
    manifest = ET.parse(asset_path("bundles/wheelroom.manifest")).getroot()  # noqa: S314  (our own file)
    assert manifest[0].get("version") == f"{VERSION}.0"


def test_a_folder_that_cannot_be_written_is_told_in_a_sentence(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home.write_text("a file")
    assert install() == 2
    assert "Traceback" not in capsys.readouterr().err


def test_other_systems_are_told_that_they_need_none_of_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.platform", "darwin")
    assert install() == 2
    assert "installer" in capsys.readouterr().err
