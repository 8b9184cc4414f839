"""Numbers read and print the same wherever the tests run."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QLocale


@pytest.fixture(scope="session", autouse=True)
def plain_locale() -> Iterator[None]:
    """Spin boxes and labels use a point and no grouping."""
    before = QLocale()
    QLocale.setDefault(QLocale.c())
    yield
    QLocale.setDefault(before)


@pytest.fixture(autouse=True)
def no_look_for_garbage() -> Iterator[None]:
    """Widgets of a test that ended are destroyed between tests, and not on the threads of another one."""
    gc.disable()
    yield
    gc.enable()
