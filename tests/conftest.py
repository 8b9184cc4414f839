"""What every test stands on: no display, no settings of the person who runs it, the same random cases each time."""

from __future__ import annotations

import os
from collections.abc import Iterator

import hypothesis
import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program does, and before anything loads numpy

hypothesis.settings.register_profile("wheelroom", derandomize=True, deadline=None, database=None)
hypothesis.settings.load_profile("wheelroom")


@pytest.fixture(scope="session", autouse=True)
def own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Settings, caches and recent files go to a folder of this run, in subprocesses, too."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
            patch.setenv(name, str(home / name.lower()))
        yield
