"""Files that the desktop hands over by event are opened, those that come before there is a window as well."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

CODE = """
import sys
from PySide6.QtCore import QUrl
from PySide6.QtGui import QFileOpenEvent
from app.starting import Application
app = Application(["test"])
app.file_asked.connect(print)
for name in ("first", "second", "third"):
    Application.sendEvent(app, QFileOpenEvent(QUrl.fromLocalFile(f"/shop/{name} ½.rig.json")))
    if name == "second":
        print("ready", flush=True)
        app.begin()
"""


def test_files_that_the_desktop_hands_over_are_opened_once_somebody_hears() -> None:
    done = subprocess.run(
        [sys.executable, "-c", CODE], cwd=ROOT, capture_output=True, encoding="utf-8", check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split("\n")[:-1] == ["ready", "/shop/second ½.rig.json", "/shop/third ½.rig.json"]
