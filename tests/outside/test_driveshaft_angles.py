"""The working angle of a driveshaft's joint from its angles in top and side view.

Source: a driveline maker's service manual, page 13, "compound angle": C = sqrt(T² + S²), with T 2.15 and S 2.5 degrees
printed as 3.3. The project's sheet of checks, section 6, gives the exact angle between both directions in space, with
tan² C = tan² T + tan² S: 3.2956 degrees there, and 24.321 for T 20 and S 15, where the rule says 25.000.
"""

from __future__ import annotations

from math import degrees, hypot, radians, tan

import pytest

from geometry.plan.driveshaft import driveshaft
from tests.geometry.plan.builds import built

FAR = 1000.0


@pytest.mark.parametrize(
    ("top_deg", "side_deg", "rule_deg", "exact_deg"), [(2.15, 2.5, 3.2973, 3.2956), (20.0, 15.0, 25.0, 24.321)]
)
def test_compound_angle(top_deg: float, side_deg: float, rule_deg: float, exact_deg: float) -> None:
    level = built()
    tip = (level.station - level.housing.pinion_length, 0.0, level.height)
    output = (tip[0] - FAR, FAR * tan(radians(top_deg)), tip[2] + FAR * tan(radians(side_deg)))
    found = driveshaft(built(transfer_output=output))
    assert degrees(found.plan.value or 0.0) == pytest.approx(top_deg)
    assert degrees(found.side.value or 0.0) == pytest.approx(side_deg)
    assert degrees(found.joint.value or 0.0) == pytest.approx(exact_deg, abs=5e-4)
    assert degrees(hypot(found.plan.value or 0.0, found.side.value or 0.0)) == pytest.approx(rule_deg, abs=5e-5)
