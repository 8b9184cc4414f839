"""How the kernels are compiled: one place for the compiler, its options, where it keeps its work, and its absence."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from shutil import rmtree
from typing import Any, TypeVar

from geometry.contact.compiled.kept import place_in
from geometry.contact.compiled.memory import without

try:
    with without("scipy"):
        numba: Any = import_module("numba")
except ImportError:  # it is an extra
    numba = None

F = TypeVar("F", bound=Callable[..., object])

VERSION = "" if numba is None else str(numba.__version__)
"""Version of the compiler, empty without one."""


def keep_in(folder: Path) -> None:
    """Keep compiled kernels below a folder; for the modules of kernels that are imported after this.

    What was compiled from other sources is thrown away.
    """
    place = place_in(folder)
    for other in folder.glob("kernels-*"):
        if other != place:
            rmtree(other, ignore_errors=True)
    numba.config.CACHE_DIR = str(place)


def inner(function: F) -> F:
    """Compile a function that only other kernels call."""
    # A wrapper for Python would take as long to compile as many a kernel.
    return _compiled(function, no_cpython_wrapper=True, no_cfunc_wrapper=True)


def kernel(function: F) -> F:
    """Compile a function that Python calls; other threads run meanwhile."""
    return _compiled(function)


def _compiled(function: F, **options: bool) -> F:
    if numba is None:
        return function
    # Rounding stays as written: no fastmath.
    kept = bool(numba.config.CACHE_DIR)
    compiled: F = numba.njit(nogil=True, cache=kept, error_model="numpy", **options)(function)
    return compiled
