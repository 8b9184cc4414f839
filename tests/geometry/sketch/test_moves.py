from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.stroke import Shock, Strap
from geometry.sketch.moves import lifted, moved, placed
from tests.geometry.motion.leaves import leaf_axle
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import at, bar, housing, joint, link, node, panel, tire

RIG = small_rig()
BY = (10.0, 20.0, 30.0)


def test_a_node_goes_by_the_offset_and_everything_else_is_the_same_object() -> None:
    rig = moved(RIG, [node(RIG, "c")], BY)
    assert at(rig, "c") == (1810.0, 520.0, 1530.0)
    assert [new is old for new, old in zip(rig.nodes, RIG.nodes, strict=True)] == [n.id != "c" for n in RIG.nodes]
    assert rig.bars is RIG.bars
    assert all(new is old for new, old in zip(rig.axles, RIG.axles, strict=True))


def test_an_image_moves_its_original_the_mirrored_way() -> None:
    assert at(moved(RIG, [node(RIG, "c'")], BY), "c") == (1810.0, 480.0, 1530.0)


def test_a_node_moved_with_its_image_does_not_go_across() -> None:
    assert at(moved(RIG, [node(RIG, "c"), node(RIG, "c'")], BY), "c") == (1810.0, 500.0, 1530.0)


def test_a_node_on_the_centre_plane_stays_on_it_unless_asked() -> None:
    assert at(moved(RIG, [node(RIG, "m")], BY), "m") == (1210.0, 0.0, 530.0)
    assert at(moved(RIG, [node(RIG, "m")], BY, off_centre=True), "m") == (1210.0, 20.0, 530.0)


def test_a_node_next_to_the_centre_plane_lands_on_it() -> None:
    assert at(moved(RIG, [node(RIG, "c")], (0.0, -500.0 + 1e-8, 0.0)), "c")[1] == 0.0


def test_sums_leave_no_dust() -> None:
    rig = moved(moved(RIG, [node(RIG, "c")], (0.1, 0.0, 0.0)), [node(RIG, "c")], (0.2, 0.0, 0.0))
    assert at(rig, "c")[0] == 1800.3


def test_a_bar_goes_with_all_its_nodes_and_its_image_the_mirrored_way() -> None:
    rig = moved(RIG, [bar(RIG, "rail"), node(RIG, "a"), panel(RIG, "side")], (0.0, 20.0, 0.0))
    assert [at(rig, name)[1] for name in "abcde"] == [620.0, 620.0, 520.0, 620.0, 620.0]
    assert moved(RIG, [bar(RIG, "rail'"), panel(RIG, "side'")], (0.0, -20.0, 0.0)) == rig


def test_a_bar_across_the_rig_goes_along_and_up_only() -> None:
    open_sided = replace(RIG, panels=())
    rig = moved(open_sided, [bar(RIG, "cross"), node(RIG, "b")], BY)
    assert at(rig, "b") == (1810.0, 620.0, 530.0)
    assert at(rig, "a") == (810.0, 600.0, 530.0)


def test_a_link_takes_its_twin_along_on_the_other_side_and_no_other() -> None:
    rods = moved(RIG, [link(RIG, 0)], BY).axles[0].rods
    assert (rods[0].chassis, rods[0].axle) == ((925.0, 400.0, 485.0), (10.0, 530.0, 425.0))
    assert (rods[1].chassis, rods[1].axle) == ((925.0, -400.0, 485.0), (10.0, -530.0, 425.0))
    assert rods[2] is RIG.axles[0].rods[2]
    alone = moved(RIG, [link(RIG, 0)], BY, both_sides=False).axles[0].rods
    assert alone[0] == rods[0]
    assert alone[1] is RIG.axles[0].rods[1]


def test_both_links_chosen_go_the_same_way() -> None:
    rods = moved(RIG, [link(RIG, 0), link(RIG, 1)], BY).axles[0].rods
    assert (rods[0].axle[1], rods[1].axle[1]) == (530.0, -490.0)


def test_the_tip_of_a_wishbone_stays_one_joint() -> None:
    rig = placed(RIG, joint(RIG, 2, "axle"), (0.0, 0.0, 700.0))
    rig = placed(rig, joint(rig, 3, "axle"), (0.0, 0.0, 700.0))
    rods = moved(rig, [joint(rig, 3, "axle")], BY).axles[0].rods
    assert rods[2].axle == rods[3].axle == (10.0, 0.0, 730.0)
    assert rods[2].chassis == RIG.axles[0].rods[2].chassis


def test_an_axle_takes_the_joints_on_it_along_but_never_sideways() -> None:
    axle = moved(RIG, [housing(RIG), joint(RIG, 0, "axle")], BY, both_sides=False).axles[0]
    assert (axle.station, axle.height, axle.width) == (10.0, 480.0, 1600.0)
    assert [rod.axle for rod in axle.rods[:2]] == [(10.0, 530.0, 425.0), (10.0, -510.0, 425.0)]
    assert [rod.chassis for rod in axle.rods] == [rod.chassis for rod in RIG.axles[0].rods]


@pytest.mark.parametrize(("sides", "width"), [(["left"], 1640.0), (["right"], 1560.0), (["left", "right"], 1600.0)])
def test_a_tire_that_goes_outward_widens_its_axle(sides: list[str], width: float) -> None:
    axle = moved(RIG, [tire(RIG, side) for side in sides], (0.0, 20.0, 0.0)).axles[0]  # type: ignore[arg-type]
    assert axle.width == width


def test_placing_puts_a_node_its_image_or_a_joint_exactly_there() -> None:
    point = (1700.1, -512.3, 1444.7)
    assert at(placed(RIG, node(RIG, "c'"), point), "c") == (1700.1, 512.3, 1444.7)
    assert placed(RIG, joint(RIG, 1, "chassis"), point).axles[0].rods[1].chassis == point
    with pytest.raises(RigError, match="only nodes and ends of links"):
        placed(RIG, bar(RIG, "rail"), point)


def test_ride_height_lifts_all_but_the_axles() -> None:
    rig = lifted(RIG, 50.0)
    assert [node.at[2] for node in rig.nodes] == [node.at[2] + 50.0 for node in RIG.nodes]
    assert rig.axles[1].height == RIG.axles[1].height
    assert rig.axles[1].rods[0].chassis[2] == RIG.axles[1].rods[0].chassis[2] + 50.0
    assert rig.axles[1].rods[0].axle == RIG.axles[1].rods[0].axle


def test_shocks_stops_and_straps_go_along_with_the_axle_and_with_the_chassis() -> None:
    shock = Shock(id="s", chassis=(0.0, 450.0, 950.0), axle=(0.0, 450.0, 450.0), collapsed=400.0, extended=650.0)
    strap = Strap(id="t", chassis=(0.0, 0.0, 900.0), axle=(0.0, 0.0, 550.0), length=450.0)
    rig = replace(RIG, axles=(replace(RIG.axles[0], shocks=(shock,), straps=(strap,)), RIG.axles[1]))
    axle = moved(rig, [housing(rig)], BY).axles[0]
    assert (axle.shocks[0].axle, axle.shocks[0].chassis) == ((10.0, 450.0, 480.0), shock.chassis)
    assert (axle.straps[0].axle, axle.straps[0].chassis) == ((10.0, 0.0, 580.0), strap.chassis)
    axle = lifted(rig, 20.0).axles[0]
    assert (axle.shocks[0].axle, axle.shocks[0].chassis) == (shock.axle, (0.0, 450.0, 970.0))
    assert axle.straps[0].chassis == (0.0, 0.0, 920.0)
    with pytest.raises(RigError, match="strap “t” is 450 mm long"):
        lifted(rig, 120.0)


def test_what_cannot_be_is_refused_in_a_sentence() -> None:
    with pytest.raises(RigError, match="out of the plane"):
        moved(RIG, [node(RIG, "d")], BY)
    with pytest.raises(RigError, match="no bar “gone” in the rig"):
        moved(RIG, [PartRef("bar", "gone", "", "gone")], BY)
    with pytest.raises(RigError, match="no axle “gone”"):
        moved(RIG, [PartRef("tire", "gone", "left", "gone")], BY)
    with pytest.raises(RigError, match=r"no link “rear\.gone”"):
        moved(RIG, [PartRef("joint", "rear.gone.axle", "left", "gone")], BY)


def test_leaf_springs_go_with_their_axle_and_their_bolts_with_the_chassis() -> None:
    axle = leaf_axle()
    rig = replace(RIG, axles=(axle, *RIG.axles[1:]))
    springs = moved(rig, [housing(rig)], BY).axles[0].leaf_springs
    assert springs is not None
    assert springs.seat == (10.0, 430.0, 555.0)
    assert springs.fixed_eye == (630.0, 430.0, 550.0)
    raised = lifted(rig, 5.0).axles[0].leaf_springs
    assert raised is not None
    assert raised.seat == (0.0, 430.0, 525.0)
    assert (raised.fixed_eye[2], raised.shackle_eye[2], raised.shackle_pivot[2]) == (525.0, 550.0, 660.0)
