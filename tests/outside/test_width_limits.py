"""Largest widths of trails and vehicle classes, each as its own rule measures it.

Sources:

- A newspaper of 14 May 2021 on Black Hills National Forest trails: 62 in, outside of one tire to outside of the other,
  at the widest tire tread, front or rear.
- City codes of Dundas and New Prague, Minnesota, after M.S. 84.92: class 1 up to 50 in, class 2 up to 65 in, outside of
  tire rim to outside of tire rim.
- The project's sheet of checks, section 2: limit 80 in over the tires, section 12.5 in: 67.5 in wide with an offset of
  0, 64.5079 in with −38 mm; and section 4 for the limits in mm.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.rig.axle import Axle
from geometry.rig.rules import WidthLimit
from geometry.rig.wheel import INCH, Tire, Wheel
from geometry.stance.rules import limit_rule, measured_width
from tests.geometry.rig.rigs import small_rig


def wheeled(offset: float = 0.0, shoulder: float | None = None) -> Axle:
    """An axle with 37x12.50R17 tires on rims of 9 in with lips of half an inch."""
    tire = Tire(size="37x12.50R17", shoulder_radius=shoulder)
    return replace(small_rig().axles[0], tire=tire, wheel=Wheel(rim_width=9.0 * INCH, offset=offset, flange=0.5 * INCH))


@pytest.mark.parametrize(("offset", "width_in"), [(0.0, 67.5), (-38.0, 64.5079)])
def test_widest_axle_under_80_in_over_the_tires(offset: float, width_in: float) -> None:
    rule = limit_rule(wheeled(offset), WidthLimit(id="trail", measure="outer", most=80.0 * INCH))
    assert rule.high is not None
    assert rule.high.value / INCH == pytest.approx(width_in, abs=5e-5)


@pytest.mark.parametrize(("limit_mm", "limit_in"), [(1270.0, 50.0), (1574.8, 62.0), (1651.0, 65.0)])
def test_a_limit_is_met_by_what_it_measures(limit_mm: float, limit_in: float) -> None:
    assert limit_in * INCH == pytest.approx(limit_mm, abs=1e-9)
    by_tread = limit_rule(wheeled(shoulder=25.4), WidthLimit(id="t", measure="tread", most=limit_mm))
    by_rim = limit_rule(wheeled(), WidthLimit(id="r", measure="rim", most=limit_mm))
    assert by_tread.high is not None
    assert by_rim.high is not None
    # 12.5 in of section less an inch of shoulder on either side; 9 in of rim and two lips
    assert by_tread.high.value / INCH == pytest.approx(limit_in - 10.5, abs=1e-9)
    assert by_rim.high.value / INCH == pytest.approx(limit_in - 10.0, abs=1e-9)


def test_one_width_passes_the_rim_rule_and_fails_over_the_tires() -> None:
    """Why the rule has to say how it measures: 54 in of axle are 64 in over the rims and 66 1/2 in over the tires."""
    axle = wheeled()
    assert measured_width(axle, "rim", 54.0 * INCH) / INCH == pytest.approx(64.0)
    assert measured_width(axle, "outer", 54.0 * INCH) / INCH == pytest.approx(66.5)
    class_2 = {"most": 65.0 * INCH, "id": "class-2"}
    assert limit_rule(axle, WidthLimit(measure="rim", **class_2)).at(54.0 * INCH).satisfied
    assert not limit_rule(axle, WidthLimit(measure="outer", **class_2)).at(54.0 * INCH).satisfied
