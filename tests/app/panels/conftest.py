"""A document to work on."""

from __future__ import annotations

import pytest

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.units import LengthUnit


@pytest.fixture
def document() -> Document:
    """The first demo rig, opened, in inches with fractions."""
    return Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION)
