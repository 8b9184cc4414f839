from __future__ import annotations

from math import nan

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.check import check_rig, least_width
from geometry.rig.structure import rig_from_plain
from tests.geometry.rig.rigs import REMOVED, plain_rig, small_rig, with_value


def test_a_sound_rig_passes() -> None:
    check_rig(small_rig())


@pytest.mark.parametrize(
    ("changes", "reported", "words"),
    [
        # names
        ({"nodes[1].id": "a"}, "nodes[1].id", "“a” is taken by nodes[0]"),
        ({"bars[2].id": "rail"}, "bars[2].id", "“rail” is taken by bars[0]"),
        ({"axles[1].id": "rear"}, "axles[1].id", "“rear” is taken by axles[0]"),
        ({"axles[1].rods[3].id": "rod0"}, "axles[1].rods[3].id", "“rod0” is taken by axles[1].rods[0]"),
        ({"bars[0].nodes[2]": "z"}, "bars[0].nodes[2]", "there is no node “z”; add it"),
        ({"nodes[2].id": "frame1"}, "bars[0].nodes[2]", "there is no node “c”; add it"),
        (
            {"nodes[2].id": "frame1", "bars[0].nodes[2]": "fram1"},
            "bars[0].nodes[2]",
            "there is no node “fram1” (did you mean “frame1”?); add it",
        ),
        ({"panels[0].facets[0][3]": "z'"}, "panels[0].facets[0][3]", "there is no node “z'”"),
        # bars
        ({"bars[2].nodes": ["m", "m"]}, "bars[2].nodes[1]", "bar “post” has no length here"),
        ({"bars[2].nodes": ["m", "m'"]}, "bars[2].nodes[1]", "“m” lies on the centre line and is its own mirror image"),
        ({"bars[2].nodes": ["n", "m'", "m"]}, "bars[2].nodes[2]", "is its own mirror image; name it once"),
        ({"nodes[1].at": [800.0, 600.0, 500.0]}, "bars[0].nodes[1]", "has no length here"),
        ({"bars[1].nodes": ["a", "b", "a"]}, "bars[1].nodes[1]", "turns back on itself"),
        ({"bars[1].wall": 19.1}, "bars[1].wall", "19.1 mm is more than half the outside diameter, 19.05 mm"),
        ({"bars[0].bend_radius": 20.0}, "bars[0].bend_radius", "tighter than half the outside diameter"),
        ({"bars[0].bend_radius": 2000.0}, "bars[0].bend_radius", "make the radius smaller"),
        ({"bars[2].mirrored": True}, "bars[2].mirrored", "is its own mirror image"),
        ({"bars[1].mirrored": True}, "bars[1].mirrored", "is its own mirror image"),
        # panels
        ({"nodes[4].at": [1800.0, 640.0, 900.0]}, "panels[0].facets[0]", "10.0 mm out of the plane"),
        ({"panels[0].facets": [["a", "b", "b", "d"]]}, "panels[0].facets[0][1]", "same point as the next corner"),
        ({"panels[0].facets": [["a", "b", "a"]]}, "panels[0].facets[0][2]", "same point as the next corner"),
        (
            {"nodes[4].at": [2800.0, 600.0, 500.0]} | {"panels[0].facets": [["a", "b", "e"]]},
            "panels[0].facets[0]",
            "one line",
        ),
        ({"nodes[4].at": [1000.0, 600.0, 600.0]}, "panels[0].facets[0][2]", "turns inwards at “e”"),
        ({"panels[0].facets": [["a", "e", "b", "d"]]}, "panels[0].facets[0]", "their edges cross"),
        ({"panels[0].facets": [["a", "a'", "d'", "d"]]}, "panels[0].mirrored", "is its own mirror image"),
        # axles
        ({"axles[1].station": 0.0}, "axles[1].station", "same as that of axles[0]"),
        ({"axles[0].tire.size": "37 inch"}, "axles[0].tire.size", "cannot read the tire size “37 inch”"),
        ({"axles[0].tire.loaded_radius": 600.0}, "axles[0].tire.loaded_radius", "must lie between"),
        ({"axles[0].wheel.backspacing": 100.0}, "axles[0].wheel.offset", "either offset or backspacing"),
        ({"axles[0].wheel.offset": None}, "axles[0].wheel.offset", "either offset or backspacing"),
        ({"axles[0].width": 240.0, "axles[0].stop_station": 100.0}, "axles[0].width", "tire meet in the middle"),
        ({"axles[0].housing": {"end_inset": 800.0}}, "axles[0].housing.end_inset", "nothing is left of the housing"),
        ({"axles[1].steering.kingpin": [0.0, -800.0, 0.0]}, "axles[1].steering.kingpin", "lies on the right-hand side"),
        ({"axles[1].steering.caster_deg": -60.0}, "axles[1].steering.caster_deg", "must lie between -45 and 45"),
        (
            {"axles[0].stop_station": 801.0},
            "axles[0].stop_station",
            "lies beyond the wheel-mount face at half the width, 800.0 mm",
        ),
        ({"axles[0].bump": 850.0}, "axles[0].bump", "would stand on end"),
        ({"axles[1].rods[2].chassis": [2600.0, 100.0, 700.0]}, "axles[1].rods[2].chassis", "“rod2” has no length"),
        ({"axles[0].rods[0].joint_room": 470.0}, "axles[0].rods[0].joint_room", "leaves nothing of a rod 926.1 mm"),
        (
            {"axles[0].rods[3].chassis": [760.0, 405.0, 660.0], "axles[0].rods[3].axle": [0.0, 100.0, 700.0]},
            "axles[0].rods[3]",
            "lies exactly on axles[0].rods[2]",
        ),
        (
            {f"axles[0].rods[{index}].axle": [0.0, 0.0, 450.0] for index in range(4)},
            "axles[0].rods[0].axle",
            "all rods share this joint",
        ),
        ({"axles[0].rods[3]": REMOVED}, "axles[0].rods", "has 3 entries and must have at least 4"),
        ({"axles[0].rods": []}, "axles[0].rods", "or none where there are leaf_springs"),
    ],
)
def test_parts_that_do_not_fit_are_refused_with_place_and_remedy(
    changes: dict[str, object], reported: str, words: str
) -> None:
    plain = plain_rig()
    for place, value in changes.items():
        with_value(plain, place, value)
    rig = rig_from_plain(plain)
    with pytest.raises(RigError) as refused:
        check_rig(rig)
    assert refused.value.place.startswith(reported)
    assert words in refused.value.problem
    assert str(refused.value).startswith(f"{refused.value.where}: ")
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("bars[0].bend_radius", 0.0),
        ("bars[1].wall", 19.05),  # a solid bar
        ("bars[1].nodes", ["a", "b", "e", "d", "a"]),  # a hoop
        ("panels[0].facets", [["a", "b", "e"], ["a", "e", "d"]]),
        ("nodes[4].at", [1800.0, 602.0, 900.0]),  # half a millimetre out of plane
        ("axles[0].stop_station", 800.0),
        ("axles[0].bump", 0.0),
        ("axles[0].bump", 10.0),
        ("axles[0].height", 590.0),
        ("axles[1].steering.kingpin", [0.0, 60.0, -450.0]),  # a point of the axis at the ground
        ("bars[2].od", 6.0),
        ("bars[0].wall", 0.4),
        ("axles[0].wheel.rim_width", 75.0),
        ("axles[0].wheel", {"rim_width": 228.6, "backspacing": 25.0}),
        ("axles[0].stop_station", 136.0),
        ("axles[0].rods[3].axle", [0.0, 100.0, 700.0]),  # a wishbone
        ("panels", []),
        ("bars", []),
    ],
)
def test_what_is_unusual_but_sound_passes(place: str, value: object) -> None:
    plain = with_value(plain_rig(), place, value)
    if place == "bars":
        plain["panels"] = []
    check_rig(rig_from_plain(plain))


def refusal(changes: dict[str, object]) -> str:
    plain = plain_rig()
    for place, value in changes.items():
        with_value(plain, place, value)
    with pytest.raises(RigError) as refused:
        check_rig(rig_from_plain(plain))
    return str(refused.value)


@pytest.mark.parametrize(
    ("place", "value", "where", "words"),
    [
        ("bars[0].od", 1.75, "bars[0].od (rail)", "od of 1.75 mm is no tube, the least is 6 mm"),
        ("bars[0].wall", 0.12, "bars[0].wall (rail)", "wall of 0.12 mm is no wall of a tube, the least is 0.4 mm"),
        ("axles[1].rods[2].od", 2.0, "axles[1].rods[2].od (front, rod2)", "od of 2 mm is no rod, the least is 6 mm"),
        ("axles[0].wheel.rim_width", 9.0, "(rear)", "rim width of 9 mm is no wheel, the least is 75 mm"),
        ("axles[0].tire.diameter", 37.0, "(rear)", "diameter of 37 mm is no tire, the least is 250 mm"),
        ("axles[0].tire.section_width", 12.5, "(rear)", "section width of 12.5 mm is no tire, the least is 50 mm"),
        ("axles[0].tire.rim_diameter", 17.0, "(rear)", "rim diameter of 17 mm is no wheel, the least is 100 mm"),
        ("axles[0].stop_station", 18.5, "(rear)", "stop station of 18.5 mm is no place for a stop, the least is 50 mm"),
    ],
)
def test_a_length_that_no_part_has_is_refused_with_what_it_is_in_inches(
    place: str, value: float, where: str, words: str
) -> None:
    said = f"{words}; lengths in the file are in mm, {value:g} in is {round(25.4 * value, 6):g}."
    assert refusal({place: value}) == f"{where if place in where else f'{place} {where}'}: {said}"


def test_inches_in_a_group_of_fields_are_refused_as_well() -> None:
    assert "tube od of 3.5 mm is no tube" in refusal({"axles[0].housing": {"tube_od": 3.5}})
    backspacing = refusal({"axles[0].wheel": {"rim_width": 228.6, "backspacing": 4.5}})
    assert "backspacing of 4.5 mm is no wheel, the least is 25 mm" in backspacing
    assert backspacing.endswith("4.5 in is 114.3.")


@pytest.mark.parametrize(("bump", "droop", "hint"), [(5.0, 5.0, "5 in is 127"), (0.0, 6.0, "6 in is 152.4")])
def test_a_travel_that_no_axle_has_is_refused(bump: float, droop: float, hint: str) -> None:
    said = refusal({"axles[0].bump": bump, "axles[0].droop": droop})
    assert said.startswith(f"axles[0].bump (rear): bump of {bump:g} mm and droop of {droop:g} mm are no travel, ")
    assert said.endswith(f"at least 25 mm, or both 0 mm; lengths in the file are in mm, {hint}.")


@pytest.mark.parametrize(
    ("height", "end"),
    [
        (17.75, "; lengths in the file are in mm, 17.75 in is 450.85."),
        (100.0, "; lengths in the file are in mm."),
        (602.0, "; lengths in the file are in mm."),
    ],
)
def test_an_axle_far_from_standing_on_its_tires_is_refused_with_both_numbers(height: float, end: str) -> None:
    said = refusal({"axles[0].height": height})
    words = f"the height of {height:g} mm and the tire's loaded radius of 451.1 mm differ by more than 150 mm; heights"
    assert said.startswith(f"axles[0].height (rear): {words}")
    assert said.endswith(end)


def test_a_kingpin_outboard_of_the_mounting_face_is_refused() -> None:
    words = "the left kingpin passes hub height 100.0 mm outboard of the wheel mounting face"
    assert words in refusal({"axles[1].steering.kingpin": [0.0, 100.0, 0.0]})
    assert "hub height 24.8 mm outboard" in refusal({"axles[1].steering.kingpin": [0.0, -20.0, 300.0]})


def test_a_star_that_always_turns_the_same_way_is_refused() -> None:
    plain = plain_rig()
    plain["nodes"] = [
        {"id": f"s{index}", "at": at}
        for index, at in enumerate(
            [[0.0, 9.0, 1000.0], [588.0, 9.0, -809.0], [-951.0, 9.0, 309.0], [951.0, 9.0, 309.0], [-588.0, 9.0, -809.0]]
        )
    ]
    plain["bars"] = []
    plain["panels"] = [{"id": "star", "facets": [["s0", "s1", "s2", "s3", "s4"]]}]
    with pytest.raises(RigError, match="edges cross each other"):
        check_rig(rig_from_plain(plain))


def test_numbers_put_in_by_program_are_looked_at_too() -> None:
    rig = small_rig()
    broken = replace(rig, axles=(replace(rig.axles[0], width=nan), rig.axles[1]))
    with pytest.raises(RigError, match=r"axles\[0\]\.width \(rear\): width is not a finite number"):
        check_rig(broken)


def test_a_fault_is_found_again_after_a_sound_chassis_was_remembered() -> None:
    rig = small_rig()
    check_rig(rig)
    broken = replace(rig, bars=(replace(rig.bars[0], wall=40.0), *rig.bars[1:]))
    for _ in range(2):
        with pytest.raises(RigError, match="half the outside diameter"):
            check_rig(broken)
    check_rig(rig)


def test_every_width_above_the_least_is_sound_and_none_below() -> None:
    rig = small_rig()
    for index, axle in enumerate(rig.axles):
        least = least_width(axle)
        assert least == 1000.0  # the stop stations, 500 mm to each side

        def at(width: float, place: int = index) -> None:
            axles = list(rig.axles)
            axles[place] = replace(axles[place], width=width)
            check_rig(replace(rig, axles=tuple(axles)))

        at(least + 0.001)
        with pytest.raises(RigError):
            at(least - 0.001)
