"""The entry point: `wheelroom` and `python -m app`. The command line first, the window on demand."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from app.interrupt import INTERRUPTED, leaving_at_once

PIPE_CLOSED = 141
"""Exit status when whoever read the output went away: 128 + SIGPIPE."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command that the arguments name; returns the exit status."""
    try:
        with leaving_at_once():
            from app.commands import run

        status = run(sys.argv[1:] if arguments is None else arguments, open_window)
        sys.stdout.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # What is still buffered goes nowhere, so that Python does not complain about it at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    return status


def open_window(path: Path | None) -> int:
    """Open the window, or say in words why there is none and what it would show; returns the exit status."""
    from app import loading

    loading.begin()
    from app.display import why_no_window

    if reason := why_no_window():
        from app.commands import check_instead_of_window

        return check_instead_of_window(path, reason)
    from app.overrides import guard

    guard()
    from app.starting import run

    return run(path)


if __name__ == "__main__":
    sys.exit(main())
