from __future__ import annotations

from dataclasses import replace
from math import inf, radians

import msgspec
import pytest

from app.units import LengthUnit
from app.wording import (
    NOTHING,
    bump_left,
    bump_left_words,
    clearance_words,
    limit_words,
    lock_words,
    pair_words,
    part_words,
    pose_words,
    verdict_sentence,
    verdict_words,
)
from geometry.contact.findings import Band, Verdict
from geometry.motion.travel import TravelPose
from geometry.rig.layout import PartRef
from geometry.stroke.ends import reach_of, travel_ends
from tests.app.studies import CLEAR, CONTACT, FAR_OFF, HAIR, OPEN, PAIR, TIGHT, study_of
from tests.geometry.rig.rigs import small_rig
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP, stroked

STOPPED = stroked(bump_stops=(STOP,), straps=(STRAP,))
"""It goes 90 mm up and some 80 mm down of 140 and 120 mm."""

OUTSIDE = {"chassis": (0.0, 600.0, 950.0), "axle": (0.0, 600.0, 450.0), "collapsed": 300.0, "extended": 622.0}
TWISTED = stroked(shocks=(msgspec.structs.replace(SHOCK, **OUTSIDE),))
"""Its left shock stands outside the stop station: it lets both wheels droop all the way, and not the left one alone."""

FRACTION, INCH, MM = LengthUnit.FRACTION, LengthUnit.INCH, LengthUnit.MM
REAR, FRONT = small_rig().axles


@pytest.mark.parametrize(
    ("study", "sentence"),
    [
        (
            study_of(CONTACT),
            (
                "Touches: left rear tire meets rail, left, by 7/16 in, worst crossed up, left wheel high. "
                "First contact with 1 1/4 in of bump left straight, 2 1/2 to 3 1/8 in crossed."
            ),
        ),
        (
            study_of(replace(CONTACT, start_straight=None, start_crossed=None)),
            "Touches: left rear tire meets rail, left, by 7/16 in, worst crossed up, left wheel high.",
        ),
        (
            study_of(
                replace(
                    CONTACT, fixed=PartRef("bar", "hoop", "", "hoop"), start_straight=None, pose=TravelPose(76.2, 76.2)
                )
            ),
            (
                "Touches: left rear tire meets hoop by 7/16 in, worst with both +3 in. "
                "First contact with 2 1/2 to 3 1/8 in of bump left crossed."
            ),
        ),
        (
            study_of(replace(CONTACT, start_crossed=None), CONTACT, CLEAR),
            (
                "Touches: left rear tire meets rail, left, by 7/16 in, worst crossed up, left wheel high. "
                "First contact with 1 1/4 in of bump left straight, 2 1/2 to 3 1/8 in crossed. "
                "1 other pair touches as well."
            ),
        ),
        (
            study_of(replace(HAIR, pose=TravelPose(120.0, 120.0))),
            "Touches, or misses by a hair: left rear tire meets rail, left, by less than 1/16 in, worst at full stuff.",
        ),
        (study_of(TIGHT, CLEAR), "Tight: left rear tire comes within 3/8 in of rail, left, and 3/4 in is wanted."),
        (
            study_of(TIGHT, TIGHT, TIGHT),
            (
                "Tight: left rear tire comes within 3/8 in of rail, left, and 3/4 in is wanted. "
                "2 other pairs are tight as well."
            ),
        ),
        (
            study_of(OPEN, TIGHT),
            "Not established: left rear tire to rail, left could not be settled, -1/8 to 1 in.",
        ),
        (study_of(CLEAR, FAR_OFF), "Clear everywhere: closest is left rear tire to rail, left, at 1 1/8 in."),
        (study_of(FAR_OFF), "Clear everywhere: nothing comes within 3 7/8 in."),
        (study_of(), "Nothing to check: no bar, panel or link in the rig file that the axles could meet."),
        (study_of(problem="The front axle binds."), "Not established: The front axle binds."),
        (study_of(CLEAR, problem="The front axle binds."), "Not established: The front axle binds."),
        (
            study_of(HAIR, problem="The front axle binds."),
            (
                "Touches, or misses by a hair: left rear tire meets rail, left, by less than 1/16 in, "
                "worst crossed up, left wheel high. The front axle binds."
            ),
        ),
    ],
)
def test_the_verdict_is_one_sentence_and_what_must_be_added(study: object, sentence: str) -> None:
    assert verdict_sentence(study, FRACTION) == sentence


def test_the_verdict_speaks_the_chosen_unit() -> None:
    in_inches, in_mm = (verdict_sentence(study_of(CONTACT), unit) for unit in (INCH, MM))
    assert "by 0.44 in, worst crossed up, left wheel high. First contact with 1.248 to 1.260 in of bump" in in_inches
    assert "by 11.0 mm, worst crossed up, left wheel high. First contact with 31.7 to 32.0 mm of bump" in in_mm
    assert "of rail, left, and 19.05 mm is wanted" in verdict_sentence(study_of(TIGHT), MM)


def test_first_contact_is_the_earliest_of_all_pairs_that_touch_each_way_for_itself() -> None:
    early = replace(CONTACT, low=-2.0, high=-1.8, start_straight=Band(20.0, 30.0), start_crossed=None)
    later = replace(CONTACT, low=-3.0, high=-2.9, start_straight=Band(24.0, 26.0), start_crossed=Band(60.0, 60.0))
    tight = replace(TIGHT, start_straight=Band(0.0, 0.0))
    said = verdict_sentence(study_of(CONTACT, early, later, tight), MM)
    # Up to 20 all are proved apart, at 26 one was seen to touch; full bump is 120.
    assert "First contact with 94.0 to 100.0 mm of bump left straight, 63.0 to 80.0 mm crossed. 2 other" in said


def test_first_contact_is_told_by_the_bump_of_the_axle_that_it_belongs_to() -> None:
    shorter = msgspec.structs.replace(FRONT, bump=100.0)
    front = replace(CONTACT, axle="front", low=-2.0, high=-1.8, start_straight=Band(60.0, 60.0), start_crossed=None)
    study = study_of(CONTACT, front, axles=(REAR, shorter))
    assert "First contact with 40.0 mm of bump left straight, 63.0" in verdict_sentence(study, MM)


def test_an_overlap_is_never_understated() -> None:
    assert "by 1/2 in" in verdict_sentence(study_of(replace(CONTACT, low=-11.2)), FRACTION)


@pytest.mark.parametrize(
    ("pose", "words"),
    [
        (TravelPose(), "ride height"),
        (TravelPose(120.0, 120.0), "full stuff"),
        (TravelPose(119.8, 120.0), "full stuff"),
        (TravelPose(-150.0, -150.0), "full droop"),
        (TravelPose(120.0, -150.0), "crossed up, left wheel high"),
        (TravelPose(-150.0, 120.0), "crossed up, right wheel high"),
        (TravelPose(76.2, 76.2), "both +3 in"),
        (TravelPose(-76.2, -76.2), "both -3 in"),
        (TravelPose(76.2, -50.8), "left +3 in, right -2 in"),
        (TravelPose(120.0, 0.0), "left full stuff, right 0 in"),
        (TravelPose(50.8, -150.0), "left +2 in, right full droop"),
        (TravelPose(0.6, 0.0), "left 0 in, right 0 in"),
        (TravelPose(0.0, 0.0, radians(35.0)), "ride height, full left lock"),
        (TravelPose(0.0, 0.0, radians(-35.0)), "ride height, full right lock"),
        (TravelPose(76.2, -50.8, radians(30.0)), "left +3 in, right -2 in, 30° left"),
        (TravelPose(120.0, 120.0, radians(-12.34)), "full stuff, 12.3° right"),
    ],
)
def test_poses_are_said_as_in_the_shop(pose: TravelPose, words: str) -> None:
    assert pose_words(pose, FRONT, FRACTION) == words


def test_an_axle_that_does_not_steer_has_no_steering_words() -> None:
    assert pose_words(TravelPose(0.0, 0.0, radians(10.0)), REAR, FRACTION) == "ride height"


def test_an_axle_without_travel_stands_at_ride_height() -> None:
    still = small_rig().axles[0]
    assert (
        pose_words(TravelPose(), still.__class__(**{**_fields(still), "bump": 0.0, "droop": 0.0}), MM) == "ride height"
    )


def _fields(axle: object) -> dict[str, object]:
    return {name: getattr(axle, name) for name in axle.__struct_fields__}


def test_bump_left_is_full_bump_less_the_start_and_stays_within_it() -> None:
    assert bump_left(Band(88.0, 90.0), REAR) == Band(30.0, 32.0)
    assert bump_left(Band(-5.0, 0.0), REAR) == Band(120.0, 120.0)
    assert bump_left(Band(119.0, 121.0), REAR) == Band(0.0, 1.0)


def test_bump_left_is_told_for_each_way_up_on_which_contact_starts() -> None:
    assert bump_left_words(CONTACT, REAR, FRACTION) == "1 1/4 in straight, 2 1/2 to 3 1/8 in crossed"
    assert bump_left_words(replace(CONTACT, start_crossed=None), REAR, MM) == "31.7 to 32.0 mm straight"
    assert bump_left_words(CLEAR, REAR, FRACTION) == NOTHING


def test_a_clearance_is_an_interval_rounded_outwards() -> None:
    assert clearance_words(CONTACT, FRACTION) == "-7/16 to -3/8 in"
    assert clearance_words(CLEAR, MM) == "30.0 to 30.2 mm"
    assert clearance_words(replace(CLEAR, low=19.05, high=19.05), FRACTION) == "3/4 in"
    assert clearance_words(FAR_OFF, FRACTION) == "over 3 7/8 in"
    assert clearance_words(replace(OPEN, low=-inf), FRACTION) == "not established"


def test_pairs_are_named_by_their_parts() -> None:
    assert pair_words(CONTACT) == pair_words(PAIR) == "left rear tire to rail, left"


def test_labels_stay_on_one_line_and_off_the_terminal_s_controls() -> None:
    assert part_words(PartRef("bar", "b", "", "lower\n rail\x1b[31m")) == "lower rail [31m"


def test_the_lock_is_told_once_where_it_is_the_same_to_both_sides() -> None:
    assert lock_words(REAR) == NOTHING
    assert lock_words(FRONT) == "35°"
    assert FRONT.steering is not None
    uneven = msgspec.structs.replace(FRONT.steering, lock_left_deg=33.5)
    assert lock_words(msgspec.structs.replace(FRONT, steering=uneven)) == "33.5° left, 35° right"


def test_every_verdict_has_its_words() -> None:
    assert len({verdict_words(verdict) for verdict in Verdict}) == len(Verdict)


def test_the_sentence_says_on_how_many_unconfirmed_values_it_rests_and_nothing_at_none() -> None:
    marks = ("axles/rear/bump", "axles/rear/droop")
    assert verdict_sentence(study_of(CLEAR, unconfirmed=marks), MM).endswith(" Rests on 2 unconfirmed values.")
    assert verdict_sentence(study_of(CLEAR, unconfirmed=marks[:1]), MM).endswith(" Rests on 1 unconfirmed value.")
    assert "confirmed" not in verdict_sentence(study_of(CLEAR), MM)


def test_full_stuff_is_where_stops_leave_the_axle_and_says_how_far_that_is() -> None:
    ends = travel_ends(STOPPED)
    assert pose_words(TravelPose(ends.bump, ends.bump), STOPPED, MM) == f"full stuff at +{ends.bump:.1f} mm"
    assert pose_words(TravelPose(-ends.droop, -ends.droop), STOPPED, MM) == f"full droop at -{ends.droop:.1f} mm"
    assert pose_words(TravelPose(*ends.left_up), STOPPED, MM) == "crossed up, left wheel high"
    assert pose_words(TravelPose(140.0, 140.0), stroked(), MM) == "full stuff"


def test_bump_left_counts_to_where_stops_end_it() -> None:
    assert bump_left(Band(60.0, 61.0), stroked()) == Band(79.0, 80.0)
    left = bump_left(Band(60.0, 61.0), STOPPED)
    assert (left.low, left.high) == pytest.approx((28.9, 29.9), abs=1.0)
    assert bump_left(Band(60.0, 61.0), STOPPED, "crossed").high == pytest.approx(29.9, abs=1.0)


def test_the_sentence_says_where_the_travel_ends_before_what_is_wanted_and_what_ends_it() -> None:
    said = verdict_sentence(study_of(CLEAR, axles=(STOPPED, FRONT)), MM)
    ends = travel_ends(STOPPED)
    assert said.endswith(
        f" Rear bump ends at {ends.bump:.1f} mm of 140.0 mm: left rear bump stop b is solid; "
        f"droop ends at {ends.droop:.1f} mm of 120.0 mm: rear strap c is taut."
    )
    assert " ends at " not in verdict_sentence(study_of(CLEAR, axles=(stroked(), FRONT)), MM)


def test_travel_that_is_cut_only_crossed_is_told_as_such() -> None:
    assert travel_ends(TWISTED).droop == TWISTED.droop
    said = verdict_sentence(study_of(CLEAR, axles=(TWISTED, FRONT)), MM)
    assert " Rear travel crossed up, right wheel high, ends at left -" in said
    assert said.endswith(": rear shock a is at its full length.")


def test_the_short_answers_of_a_drag_do_not_look_where_the_travel_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    study = study_of(CLEAR, axles=(STOPPED, FRONT))
    asked: list[object] = []
    monkeypatch.setattr("app.wording.travel_ends", asked.append)
    verdict_sentence(replace(study, axles=tuple(replace(axle, in_short=True) for axle in study.axles)), MM)
    assert not asked


def test_what_ends_the_travel_has_words() -> None:
    reach = reach_of(STOPPED)
    assert reach is not None
    said = [[limit_words(limit) for limit in reach.ended_by(*pose)] for pose in ((130.1, 0.1), (-119.1, -118.1))]
    assert said == [["left rear bump stop b is solid"], ["rear strap c is taut"]]
