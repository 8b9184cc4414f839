"""The works whose times are taken: a step of the width slider, and the search of some pairs over some poses."""

from __future__ import annotations

from collections.abc import Callable
from itertools import cycle

import numpy as np
from msgspec.structs import replace

from app.study import check
from geometry.contact.axle_check import Problem, axle_problems, travel_box
from geometry.contact.search import Box, Closest
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

Search = Callable[..., Closest]
Asked = list[tuple[Problem, Box]]

STEPS = 20
"""Widths that the slider goes through [-]."""

STEP = 5.0
"""From one of them to the next [mm]."""


def stepping(rig: Rig, axle: Axle) -> Callable[[], None]:
    """A slider that goes one step whenever it is called, with the answer before it at hand."""
    around = cycle([with_width(rig, axle, axle.width + STEP * (step - STEPS / 2)) for step in range(STEPS)])
    last = check(rig)

    def step() -> None:
        nonlocal last
        last = check(next(around), previous=last)

    return step


def with_width(rig: Rig, axle: Axle, width: float) -> Rig:
    return replace(rig, axles=tuple(replace(a, width=width) if a.id == axle.id else a for a in rig.axles))


def everything(rig: Rig, axle: Axle) -> Asked:
    """All kinds of pairs of an axle over its whole travel."""
    return [(problem, travel_box(axle)) for problem in axle_problems(rig, axle)]


def tires_and_bars(rig: Rig, axle: Axle) -> tuple[Problem, Box]:
    """An axle's tires against the bars over its whole travel; groups are the bars for the left tire, then the right."""
    bars = axle_problems(rig, axle)[0]
    return bars.of_groups(np.array([name.kind == "tire_bar" for name in bars.names])), travel_box(axle)


def closest(search: Search, asked: Asked) -> list[Closest]:
    return [search(p.scene, p.pairs, len(p.names), box, far=p.enough) for p, box in asked]
