"""Numbers read and print the same wherever the tests run."""

from __future__ import annotations

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
