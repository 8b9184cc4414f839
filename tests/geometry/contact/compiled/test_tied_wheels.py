"""Wheels that are tied get the same answers from both searches, over travel and over widths."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.contact.axle_check import axle_problems, travel_box
from geometry.contact.compiled import ready
from geometry.contact.crossing import first_crossing
from geometry.contact.search import Box
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from tests.geometry.contact.compiled import test_crossing, test_search
from tests.geometry.motion.ties import TIES, tied
from tests.laws.random_rigs import random_rig
from tests.laws.test_whole_axle import driven

pytestmark = pytest.mark.usefixtures("kernels")


@pytest.mark.parametrize("tie", TIES)
@pytest.mark.parametrize("seed", [1, 3])
def test_random_rigs_get_the_same_answer(seed: int, tie: str) -> None:
    rig = random_rig(seed)
    axle = tied(rig.axles[0], tie)
    for problem in axle_problems(rig, axle):
        test_search.assert_same(problem, travel_box(axle))


@pytest.mark.parametrize("tie", TIES)
def test_widths_end_at_the_same_place(tie: str) -> None:
    rig = random_rig(3, bars=8, panels=2)
    walk_both_ways(rig, tied(rig.axles[0], tie))


def test_all_that_an_axle_carries_gets_the_same_answer_and_the_same_widths() -> None:
    rig, _ = driven(1)
    axle = rig.axles[0]
    for problem in axle_problems(rig, axle):
        test_search.assert_same(problem, travel_box(axle))
    walk_both_ways(rig, axle)


def walk_both_ways(rig: Rig, axle: Axle) -> None:
    box = travel_box(axle)
    for way in (1.0, -1.0):
        ways = np.vstack([[0.0, 0.0, 0.0, way], box.ways])
        middle = box.middle + np.array([0.0, 0.0, 0.0, 60.0 * way])
        walk = Box(middle, ways, np.concatenate([[60.0], box.size]), box.reach)
        for problem in axle_problems(rig, axle):
            of = (problem.scene, problem.pairs, len(problem.names), walk)
            assert ready._covers_way(walk)
            test_crossing.assert_same(first_crossing(*of), ready.compiled_crossing(*of))
