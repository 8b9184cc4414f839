"""Whether a window can be opened here. Qt does not raise where it finds no display: it ends the process."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path


def why_no_window() -> str:
    """Why no window can be opened, as the end of a sentence; empty = it can be tried."""
    try:
        import PySide6
    except ImportError:
        return "PySide6 is not installed (pip install wheelroom[window])"
    if sys.platform.startswith("linux") and not os.environ.get("QT_QPA_PLATFORM"):
        wayland = _wayland_socket()
        if not wayland and not os.environ.get("DISPLAY"):
            return "this machine has no display"
        if not wayland and (reason := _no_x11(Path(PySide6.__file__).parent)):
            return reason
    try:
        import PySide6.QtWidgets
    except ImportError as missing:
        return f"Qt cannot be loaded ({missing})"
    return ""


def _wayland_socket() -> bool:
    name = os.environ.get("WAYLAND_DISPLAY")
    return bool(name) and (Path(os.environ.get("XDG_RUNTIME_DIR", "/")) / str(name)).exists()


def _no_x11(qt: Path) -> str:
    """Why Qt will not reach the X server; empty = it will."""
    try:
        ctypes.CDLL(str(qt / "Qt" / "plugins" / "platforms" / "libqxcb.so"))
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError as missing:
        return f"a library for X11 is missing ({missing})"
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = ctypes.c_void_p(xcb.xcb_connect(None, None))
    failed = bool(xcb.xcb_connection_has_error(connection))
    xcb.xcb_disconnect(connection)
    return f"the display {os.environ['DISPLAY']} cannot be reached" if failed else ""
