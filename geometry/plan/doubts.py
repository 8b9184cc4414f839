"""Values of a build that can be meant but seldom are: most often a unit that slipped.

Limits: common practice, no source. Nothing is refused for them; they are said wherever somebody could cut by them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from geometry.plan.half import SIDES, build_of
from geometry.rig.axle import Axle
from geometry.rig.build import BuildSide

MOST_SHRINK: Final = 6.35
"""Largest weld shrink of one side that is met in shops [mm]: a quarter of an inch."""
MOST_KERF: Final = 6.35
"""Widest saw cut [mm]: an abrasive wheel takes an eighth of an inch, a torch not much more than a quarter."""
MOST_PLAY: Final = 12.7
"""Largest end play of a shaft [mm]: half an inch."""
MOST_INSERTION: Final = 254.0
"""Deepest seat of a tube in a centre section or an end [mm]: ten inches."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A value over what is usual [mm]; `place` is where it stands, as in ``axles/rear/build/left/shrink``."""

    place: str
    value: float
    usual: float


def doubts(axle: Axle) -> tuple[Doubt, ...]:
    """Values of an axle's build that are worth a second look, in their order on a sheet."""
    return tuple(_doubts(axle))


def _doubts(axle: Axle) -> Iterator[Doubt]:
    build, root = build_of(axle), f"axles/{axle.id}/build"
    if build.kerf is not None and build.kerf > MOST_KERF:
        yield Doubt(f"{root}/kerf", build.kerf, MOST_KERF)
    for name in SIDES:
        side: BuildSide = getattr(build, name)
        for field, value, usual in (
            ("insertion_centre", side.insertion_centre, MOST_INSERTION),
            ("insertion_end", side.insertion_end, MOST_INSERTION),
            ("shrink", side.shrink, MOST_SHRINK),
            ("shaft/end_play", side.shaft.end_play, MOST_PLAY),
        ):
            if value is not None and value > usual:
                yield Doubt(f"{root}/{name}/{field}", value, usual)
