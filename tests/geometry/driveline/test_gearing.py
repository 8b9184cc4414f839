from __future__ import annotations

from math import pi

import pytest

from geometry.driveline.gearing import gear_table, road_speed
from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.rig.driveline import Gears
from geometry.rig.wheel import Tire
from tests.geometry.rig.rigs import small_rig

TIRE = Tire(size="37x12.50R17")


def gears(**fields: object) -> Gears:
    given = {"transmission": (4.0, 2.0, 1.0), "transfer": (1.0, 2.5), "axle": 5.0, "rpm": (1000.0, 3000.0)}
    return Gears(**(given | fields))  # type: ignore[arg-type]


def test_every_gear_of_every_range_is_there_once() -> None:
    table = gear_table(gears(crawl_box=3.0, hub=2.0), TIRE)
    assert len(table.rows) == 3 * 2 * 2
    assert table.crawl_ratio == pytest.approx(4.0 * 2.5 * 3.0 * 5.0 * 2.0)
    assert min(row.ratio for row in table.rows) == pytest.approx(10.0)
    row = next(each for each in table.rows if (each.gear, each.range, each.crawl_box) == (2, 2, False))
    assert row.ratio == pytest.approx(2.0 * 2.5 * 5.0 * 2.0)


def test_one_turn_of_the_engine_rolls_one_circumference_over_the_ratio() -> None:
    assert road_speed(60.0, 1.0, 1000.0 / (2.0 * pi)) == pytest.approx(1000.0)
    table = gear_table(gears(rolling_radius=450.0), TIRE)
    assert table.measured
    assert table.rows[0].speeds == pytest.approx((road_speed(1000.0, 20.0, 450.0), road_speed(3000.0, 20.0, 450.0)))


def test_a_rig_without_a_transfer_case_has_one_range() -> None:
    table = gear_table(gears(transfer=()), TIRE)
    assert [(row.gear, row.range) for row in table.rows] == [(1, 0), (2, 0), (3, 0)]


def test_a_larger_tire_is_faster_by_its_share_and_taller() -> None:
    table = gear_table(gears(tires=("40x13.50R17",)), TIRE)
    effect = table.tires[0]
    assert effect.speed_share == pytest.approx(40.0 / 37.0)
    assert effect.equal_axle == pytest.approx(5.0 * 40.0 / 37.0)
    assert effect.axle_height > 30.0
    assert effect.rolling_radius == pytest.approx(table.rolling_radius * 40.0 / 37.0)


def test_what_is_missing_is_told_and_nothing_is_made_of_it() -> None:
    table = gear_table(Gears(tires=("35x12.50R17",)), TIRE)
    assert table.missing == ("gears/transmission", "gears/axle")
    assert table.rows == ()
    assert table.crawl_ratio is table.tires[0].equal_axle is None


@pytest.mark.parametrize(
    ("made", "place", "words"),
    [
        (gears(transmission=(1.0, 4.0)), "gears.transmission", "write 4, 1"),
        (gears(transfer=(2.5, 1.0, 1.0)), "gears.transfer", "write 1, 2.5"),
        (gears(tires=("37x12.50R17", "big")), r"gears.tires\[1\]", "“big” is no tire size"),
    ],
)
def test_gears_out_of_order_and_sizes_that_are_none_are_refused(made: Gears, place: str, words: str) -> None:
    with pytest.raises(RigError, match=f"{place}.*: .*{words}"):
        check_rig(small_rig(gears=made))
