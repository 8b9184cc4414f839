from __future__ import annotations

from pathlib import Path

import pytest

from app.files import assets
from app.files.assets import asset_path, demo_rigs


def test_assets_are_found_in_the_source_tree() -> None:
    assert asset_path("rig.schema.json").is_file()
    assert asset_path().is_dir()


def test_assets_inside_the_package_come_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inside, beside = tmp_path / "inside", tmp_path / "beside"
    for folder in (inside, beside):
        folder.mkdir()
    (beside / "b.rig.json").touch()
    (beside / "a.rig.json").touch()
    (inside / "b.rig.json").touch()
    monkeypatch.setattr(assets, "_PLACES", (inside, beside))
    assert asset_path("b.rig.json") == inside / "b.rig.json"
    assert asset_path("a.rig.json") == beside / "a.rig.json"
    monkeypatch.setattr(assets, "_PLACES", (beside,))
    assert [path.name for path in demo_rigs()] == ["a.rig.json", "b.rig.json"]


def test_a_missing_asset_is_named() -> None:
    with pytest.raises(FileNotFoundError, match=r"nothing\.svg is missing from the installation"):
        asset_path("nothing.svg")


def test_the_first_demo_rig_is_the_short_one() -> None:
    assert "short" in demo_rigs()[0].name
