from __future__ import annotations

from itertools import permutations

import pytest

from geometry.errors import RigError
from geometry.sketch.panels import with_fitted, with_panel
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import panel_record

RIG = small_rig()


def test_the_corners_of_a_panel_may_be_picked_in_any_order() -> None:
    for refs in permutations(("a", "b", "e", "d")):
        rig, part = with_panel(RIG, refs)
        (loop,) = panel_record(rig, part.id).facets
        assert loop[0] == refs[0]
        ring = "abed" * 2
        assert "".join(loop) in ring or "".join(loop) in ring[::-1]


def test_corners_picked_in_order_stay_so() -> None:
    rig, part = with_panel(RIG, ["e", "b", "a", "d"], thickness=3.0, mirrored=True, name="Side")
    panel = panel_record(rig, part.id)
    assert panel.facets == (("e", "b", "a", "d"),)
    assert (panel.thickness, panel.mirrored, part.label) == (3.0, True, "Side, left")


def test_a_panel_across_the_rig_is_there_once() -> None:
    rig, part = with_panel(RIG, ["a", "a'", "d'", "d"], mirrored=True)
    assert not panel_record(rig, part.id).mirrored


@pytest.mark.parametrize(
    ("refs", "words"),
    [
        (["a", "b"], "three nodes at least"),
        (["a", "b", "c", "d"], "out of the plane"),
        (["a", "b", "nowhere"], "no node “nowhere”"),
        (["a", "b", "a"], "lies at the same point"),
    ],
)
def test_a_panel_that_cannot_be_is_refused(refs: list[str], words: str) -> None:
    with pytest.raises(RigError, match=words):
        with_panel(RIG, refs)


def test_a_panel_is_taken_off_and_fitted_again() -> None:
    off = with_fitted(RIG, "side", fitted=False)
    assert not panel_record(off, "side").fitted
    assert with_fitted(off, "side", fitted=True) == RIG
