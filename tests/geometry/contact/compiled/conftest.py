from __future__ import annotations

from collections.abc import Iterator

import pytest

from geometry.contact.compiled import ready


@pytest.fixture(scope="session")
def kernels(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The kernels compiled, once for the whole run, and the plain search in charge again."""
    pytest.importorskip("numba")
    assert ready.prepare(tmp_path_factory.mktemp("kernels")) == ""
    ready._prepared.clear()
    yield
    ready._prepared.clear()


@pytest.fixture
def compiled(kernels: None) -> Iterator[None]:  # noqa: ARG001  (they must be there)
    """Searches run compiled while a test runs."""
    ready._prepared.set()
    yield
    ready._prepared.clear()
