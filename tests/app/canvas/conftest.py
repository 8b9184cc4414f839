"""A document on a demo rig, and answers made up to be drawn."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.units import LengthUnit
from geometry.contact.findings import Approach
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.layout import BarPath, PartRef, bar_paths
from geometry.rig.rig import Rig

MakeApproach = Callable[..., Approach]


@pytest.fixture(scope="session")
def rig() -> Rig:
    return read_rig(demo_rigs()[0])


@pytest.fixture(scope="session")
def long_rig() -> Rig:
    return read_rig(demo_rigs()[1])


@pytest.fixture
def document(rig: Rig) -> Document:
    return Document(rig, unit=LengthUnit.FRACTION)


@pytest.fixture(scope="session")
def bars(rig: Rig) -> dict[tuple[str, str], BarPath]:
    """The bars of the rig by id and side."""
    return {(bar.part.id, bar.part.side): bar for bar in bar_paths(rig)}


@pytest.fixture(scope="session")
def approach(bars: dict[tuple[str, str], BarPath]) -> MakeApproach:
    """Makes the approach of the left rear tire to the end of a bar."""

    def make(
        bar: tuple[str, str],
        low: float,
        *,
        axle: str = "rear",
        settled: bool = True,
        beyond: bool = False,
        pose: TravelPose = RIDE_HEIGHT,
    ) -> Approach:
        x, y, z = bars[bar].points[0].tolist()
        return Approach(
            axle=axle,
            kind="tire_bar",
            moving=PartRef("tire", axle, "left", f"left {axle} tire"),
            fixed=bars[bar].part,
            wanted=19.05,
            low=low,
            high=low + 0.2,
            beyond=beyond,
            settled=settled,
            pose=pose,
            on_moving=(x, y + low, z),
            on_fixed=(x, y, z),
        )

    return make
