"""The modules that the window needs, loaded in the order that takes least time.

PySide6 reads the source of each module that is imported after it. Therefore everything that knows no Qt goes first.
"""

from __future__ import annotations

import gc
from importlib import import_module
from typing import Final

BEFORE_QT: Final = (
    "app.as_built",
    "app.files.assets",
    "app.files.pictures",
    "app.files.rig_file",
    "app.kernels",
    "app.reach",
    "app.width_rules",
    "app.widths",
    "app.wording",
    "geometry.motion.placement",
    "geometry.outline.hung",
    "geometry.outline.pick",
    "geometry.outline.silhouette",
    "geometry.sketch.bars",
    "geometry.sketch.copies",
    "geometry.sketch.finding",
    "geometry.sketch.moves",
    "geometry.sketch.panels",
    "geometry.sketch.removal",
    "geometry.sketch.snapping",
)
"""Modules without Qt which, with what they import, are all that the first picture needs."""


def begin() -> None:
    """Import what knows no Qt, and look for no garbage: there is none while modules load."""
    gc.disable()
    for name in BEFORE_QT:
        import_module(name)


def end() -> None:
    """Leave what was loaded out of every look for garbage to come: it stays for as long as the window, which looks."""
    gc.freeze()
