from __future__ import annotations

import pytest

from tests.geometry.rig.rigs import small_rig


def test_axles_are_found_by_their_id() -> None:
    rig = small_rig()
    assert rig.axle("front") is rig.axles[1]
    with pytest.raises(KeyError):
        rig.axle("middle")


def test_equal_rigs_are_equal_and_can_be_told_apart_by_one_digit() -> None:
    assert small_rig() == small_rig()
    assert hash(small_rig()) == hash(small_rig())
    assert small_rig(name="another") != small_rig()
