"""What the program is made of, with versions and licences as the packages themselves state them; no Qt."""

from __future__ import annotations

import platform
import re
from dataclasses import dataclass
from importlib import metadata
from typing import Final

ROOTS: Final = ("PySide6-Essentials", "ezdxf", "msgspec", "numba", "numpy", "pypdfium2", "pyqtgraph", "shapely")
"""Packages that the program asks for; a test holds them to its own list of dependencies."""

_NAME: Final = re.compile(r"[\w.-]+")
_LONGEST: Final = 80
"""Some packages have their whole licence where others have its name [characters]."""


@dataclass(frozen=True, slots=True)
class Part:
    """One package: name, version and licence; “not stated” where it names none."""

    name: str
    version: str
    licence: str


def program_version() -> str:
    """The version of this program, or that it runs from its source tree."""
    try:
        return metadata.version("wheelroom")
    except metadata.PackageNotFoundError:
        return "(from the source tree)"


def parts() -> tuple[Part, ...]:
    """Everything that is installed of what the program asks for, and of what that asks for in turn, by name."""
    found: dict[str, Part] = {}
    waiting = list(ROOTS)
    while waiting:
        name = waiting.pop()
        if name.lower() in found:
            continue
        try:
            package = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue
        found[name.lower()] = Part(package.metadata["Name"], package.version, _licence(package))
        for needed in package.requires or ():
            match = _NAME.match(needed)
            if match and "extra ==" not in needed:
                waiting.append(match.group())
    return tuple(sorted(found.values(), key=lambda part: part.name.lower()))


def system() -> str:
    """Python and the system that it runs on."""
    return f"Python {platform.python_version()} (PSF-2.0), {platform.system()} {platform.machine()}"


def _licence(package: metadata.Distribution) -> str:
    said = package.metadata
    for key in ("License-Expression", "License"):
        text = next(iter(said.get_all(key) or ()), "")
        if text and len(text) <= _LONGEST and "\n" not in text:
            return text
    classifiers = said.get_all("Classifier") or []
    stated = [each.rpartition(" :: ")[2] for each in classifiers if each.startswith("License ::")]
    return ", ".join(stated) or "not stated"
