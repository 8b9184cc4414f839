from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig
from geometry.sketch.finding import BarSpot, bars_at, middle_of, node_at
from tests.geometry.rig.rigs import small_rig


@pytest.fixture
def frame() -> Rig:
    places = {
        "a": (0.0, 400.0, 500.0),
        "b": (1000.0, 400.0, 500.0),
        "c": (1000.0, 0.0, 500.0),
        "d": (900.0, 400.0, 0.0),
    }
    bars = (
        Bar(id="long", nodes=("a", "b"), od=40.0, wall=3.0, mirrored=True),
        Bar(id="bent", nodes=("a", "b", "c"), od=40.0, wall=3.0),
    )
    nodes = tuple(Node(id=name, at=at) for name, at in places.items())
    return replace(small_rig(), nodes=nodes, bars=bars, panels=())


def test_a_node_is_found_where_it_lies_and_its_image_across(frame: Rig) -> None:
    assert node_at(frame, (0.0, 400.0, 500.0)) == "a"
    assert node_at(frame, (0.0, -400.0, 500.0)) == "a'"
    assert node_at(frame, (1000.0, 0.0, 500.0)) == "c"
    assert node_at(frame, (1.0, 400.0, 500.0)) is None


def test_bars_are_found_along_their_lines_with_the_nearer_end(frame: Rig) -> None:
    assert bars_at(frame, (300.0, 400.0, 500.0)) == (BarSpot("long", 0, at_end=False), BarSpot("bent", 0, at_end=False))
    assert bars_at(frame, (1000.0, 100.0, 500.0)) == (BarSpot("bent", -1, at_end=False),)
    assert bars_at(frame, (1000.0, 0.0, 500.0)) == (BarSpot("bent", -1, at_end=True),)
    assert bars_at(frame, (500.0, 401.0, 500.0)) == ()


def test_the_image_of_a_mirrored_bar_stands_for_it(frame: Rig) -> None:
    assert bars_at(frame, (700.0, -400.0, 500.0)) == (BarSpot("long", -1, at_end=False),)


def test_the_middle_of_a_bent_bar_lies_half_way_along_it(frame: Rig) -> None:
    assert middle_of(frame, frame.bars[1]) == (700.0, 400.0, 500.0)
