"""Messages say why in one sentence, and a file's name once."""

from __future__ import annotations

from pathlib import Path

import pytest

from app import dialogs
from app.files.rig_file import RigFileError, read_rig


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"{", "line 1, column 2: this is not JSON: a field name in double quotes is missing."),
        (b'{"name": "x"}', "axles: “axles” is missing; add it."),
        (b"[" * 99, "The file is nested more than 20 levels deep and cannot be a rig file."),
        (None, "There is no such file; check its name and folder."),
    ],
)
def test_why_a_rig_cannot_be_opened_is_told_without_its_name_and_with_its_place(
    tmp_path: Path, content: bytes | None, said: str
) -> None:
    path = tmp_path / "bad.json"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(RigFileError) as refused:
        read_rig(path)
    assert dialogs.reason(refused.value) == said
