from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from geometry.contact.compiled import ready


@pytest.fixture(scope="session")
def kernels(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The kernels compiled, once for the whole run, into this folder, and the plain search in charge again."""
    pytest.importorskip("numba")
    folder = tmp_path_factory.mktemp("kernels")
    assert ready.prepare(folder) == ""
    ready._prepared.clear()
    yield folder
    ready._prepared.clear()


@pytest.fixture
def compiled(kernels: Path) -> Iterator[None]:  # noqa: ARG001  (they must be there)
    """Searches run compiled while a test runs."""
    ready._prepared.set()
    yield
    ready._prepared.clear()
