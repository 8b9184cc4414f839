"""What the compiler need not hold on to once the kernels are loaded, or not load at all."""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

COMPILER: Final = "libllvmlite"
"""The library with the compiler's code, 60 MB of which loading kernels touches and running them does not."""

_NOT_NEEDED: Final = 4  # MADV_DONTNEED, madvise(2)


@contextmanager
def without(name: str) -> Iterator[None]:
    """Keep an optional library out while another one is imported that would take it along; not what is there already.

    The compiler takes 18 MB of scipy along for functions that no kernel calls.
    """
    hidden = name not in sys.modules
    if hidden:
        sys.modules[name] = None  # type: ignore[assignment]  # what Python has for a module that is not to be found
    try:
        yield
    finally:
        if hidden:
            del sys.modules[name]


def give_back(library: str = COMPILER) -> None:
    """Let the system have the pages of a library's code back; run again, they are read again.

    Linux only. Code is mapped to be read and run, never written, so nothing is lost.
    """
    if not sys.platform.startswith("linux"):
        return
    libc = ctypes.CDLL(None)
    libc.madvise.argtypes = [ctypes.c_void_p, ctypes.c_size_t, ctypes.c_int]
    for line in Path("/proc/self/maps").read_text(encoding="utf-8", errors="replace").splitlines():
        pages, rights, *_ = line.split()
        if rights == "r-xp" and library in line:
            first, end = (int(word, 16) for word in pages.split("-"))
            libc.madvise(first, end - first, _NOT_NEEDED)
