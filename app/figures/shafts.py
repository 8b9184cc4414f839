"""Axle shafts: lengths from the plan, and what lengths that can be bought would give."""

from __future__ import annotations

from collections.abc import Iterator

from app.figures.figure import Figure, Group, attempt
from geometry.plan.half import SIDES
from geometry.plan.shafts import ShaftSide, StockShaft, shaft_plan
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig


def shafts(_rig: Rig, axle: Axle) -> Group:
    """Both shafts; none where the plan refuses one."""
    figures, refused = attempt(lambda: tuple(_figures(axle)))
    return Group("shafts", "Axle shafts", SIDES, figures, refusals=refused)


def _figures(axle: Axle) -> Iterator[Figure]:
    plan = shaft_plan(axle)
    for side in (plan.left, plan.right):
        yield Figure(
            "length", "Length", side.length, "mark",
            "Pinion's centreline to wheel mount, with flange and spline engagement, less side gear and end play, in "
            "the builder's own numbers.", side.side,
        )  # fmt: skip
    for side in (plan.left, plan.right):
        yield from _stock(side)


def _stock(side: ShaftSide) -> Iterator[Figure]:
    for each in side.stock:
        key, name = f"stock/{each.length!r}", f"Stock {each.length:.10g} mm"
        yield Figure(
            f"{key}/longer_by", f"{name}: longer by", each.longer_by, "mark",
            "Than the length of the plan; a minus sign = shorter.", side.side,
        )  # fmt: skip
        yield Figure(
            f"{key}/engagement", f"{name}: spline engagement", each.engagement, "mark",
            "How far its splines would go into the side gear at this width.", side.side, warning=_warning(each),
        )  # fmt: skip
        yield Figure(
            f"{key}/width", f"{name}: width", each.width, "length",
            "Wheel-mount width at which it fits with the planned engagement, the other side as it is.", side.side,
        )  # fmt: skip


def _warning(each: StockShaft) -> str:
    if each.engages is False:
        return "too short or too long for its splines at this width"
    return ""
