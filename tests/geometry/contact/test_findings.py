from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.contact.findings import Approach, Verdict
from geometry.motion.travel import TravelPose
from geometry.rig.layout import PartRef

FOUND = Approach(
    axle="rear",
    kind="tire_bar",
    moving=PartRef("tire", "rear", "left", "left rear tire"),
    fixed=PartRef("bar", "rail", "left", "rail, left"),
    wanted=20.0,
    low=30.0,
    high=30.2,
    beyond=False,
    settled=True,
    pose=TravelPose(),
    on_moving=None,
    on_fixed=None,
)


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (20.0, 20.2, Verdict.CLEAR),
        (19.9, 20.1, Verdict.TIGHT),
        (0.0, 0.2, Verdict.TIGHT),
        (-0.1, 0.1, Verdict.CONTACT),
        (-5.0, -4.9, Verdict.CONTACT),
    ],
)
def test_the_verdict_goes_by_what_is_proved(low: float, high: float, verdict: Verdict) -> None:
    found = replace(FOUND, low=low, high=high)
    assert found.verdict is verdict
    assert found.margin == pytest.approx(low - 20.0)


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (25.0, 90.0, Verdict.CLEAR),
        (10.0, 25.0, Verdict.UNKNOWN),
        (-10.0, 25.0, Verdict.UNKNOWN),
        (-30.0, -10.0, Verdict.CONTACT),
    ],
)
def test_what_is_not_settled_is_unknown_unless_it_cannot_change(low: float, high: float, verdict: Verdict) -> None:
    assert replace(FOUND, low=low, high=high, settled=False).verdict is verdict


def test_what_touches_without_a_wish_for_clearance_is_still_contact() -> None:
    assert replace(FOUND, wanted=0.0, low=-0.1, high=0.1).verdict is Verdict.CONTACT
    assert replace(FOUND, wanted=0.0, low=0.0, high=0.2).verdict is Verdict.CLEAR


def test_verdicts_run_from_the_worst() -> None:
    assert list(Verdict) == [Verdict.CONTACT, Verdict.UNKNOWN, Verdict.TIGHT, Verdict.CLEAR]
