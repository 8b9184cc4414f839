"""The driveshaft over the travel, how evenly it turns, pinions to choose from, and the gears."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians
from typing import Final

from app.figures.figure import Figure, Group, Kind, attempt
from app.figures.over_travel import largest, smallest, travel_left
from app.units import format_angle
from geometry.driveline.choice import PinionCompared, compare_pinions
from geometry.driveline.gearing import GearRow, GearTable, gear_table
from geometry.driveline.layout import Layout, LayoutFound, RuleFound, RuleName, layout_at_ride_height, most_by_length
from geometry.driveline.shaft import ShaftTravel, missing_of_shaft, shaft_travel
from geometry.motion.asked import Asked
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

ENDS: Final = (("case", "transfer case"), ("pinion", "pinion"))

LAYOUTS: Final[dict[Layout, str]] = {
    "parallel": "parallel: output and pinion point the same way, and both joints cancel",
    "intersecting": "intersecting: not parallel, but with equal working angles",
    "neither": "neither parallel nor with equal angles: it turns unevenly",
    "one double": "one double joint",
    "two double": "two double joints",
    "unknown": "unknown",
}

RULES: Final[dict[RuleName, tuple[str, Kind, str]]] = {
    "least_deg": ("least working angle", "angle", "A little keeps the needles moving."),
    "most_deg": ("largest working angle", "angle", "Of a single joint; makers' rules disagree, and it is a setting."),
    "apart_deg": ("working angles apart", "angle", "Difference of both joints' working angles."),
    "double_most_deg": ("largest working angle", "angle", "Of a double joint; a setting."),
    "fluctuation": ("uneven turning", "number", "Swing of the speed ratio that is left over the whole shaft."),
    "acceleration": ("peak acceleration", "number", "Of the joint's output at the revolutions given, in rad/s²."),
}


def driveline(_rig: Rig, axle: Axle) -> Group:
    """Angles, slip and layout; takes time."""
    figures, refused = attempt(lambda: tuple(_figures(axle)))
    remark = "Working angles in space, proved over the travel that shocks, stops and straps leave."
    return Group("driveline", "Driveshaft", (), figures, remark, refused)


def pinions(_rig: Rig, axle: Axle) -> Group:
    """Centre sections side by side; takes time."""
    figures, refused = attempt(lambda: tuple(_pinions(axle)))
    count = len(axle.pinion_choices)
    remark = "The centre section that is drawn, and each other one on the list." if count else ""
    return Group("pinions", "Pinion choices", (), figures, remark or "No other centre sections are listed.", refused)


def gears(rig: Rig, axle: Axle) -> Group:
    """Ratios, road speeds, and what other tires do."""
    if rig.gears is None:
        crawl = Figure(
            "crawl", "Crawl ratio", Amount(None, ("gears",)), "factor", "Lowest of all ratios, engine to tire."
        )
        return Group("gears", "Gears and tires", (), (crawl,))
    found = gear_table(rig.gears, axle.tire)
    return Group("gears", "Gears and tires", (), tuple(_gears(found, rig.gears.rpm)))


def _figures(axle: Axle) -> Iterator[Figure]:
    missing = missing_of_shaft(axle)
    found = shaft_travel(axle, travel_left(axle))
    if found is None:
        words = "Between the shaft and the pinion, in space."
        yield Figure("pinion/most", "Joint at the pinion, largest angle", Amount(None, missing), "angle", words)
        return
    asked = {each.place.rpartition("/")[0].rpartition("/")[2]: each for each in found.asked if "limit" in each.place}
    for key, name in ENDS:
        yield from _joint(axle, key, name, found, asked.get(f"{key}_joint"), missing)
    yield from _slip(axle, found)
    yield from _layout(layout_at_ride_height(axle), missing)


def _joint(
    axle: Axle, key: str, name: str, found: ShaftTravel, asked: Asked | None, missing: tuple[str, ...]
) -> Iterator[Figure]:
    over = found.pinion if key == "pinion" else found.case
    ride: float | None = getattr(found.ride, key)
    words = f"Between the shaft and the {'pinion' if key == 'pinion' else 'output'}, in space."
    if over is None or ride is None:
        yield Figure(f"{key}/most", f"Joint at the {name}, largest angle", Amount(None, missing), "angle", words)
        return
    yield Figure(f"{key}/ride", f"Joint at the {name}, ride height", Amount(ride), "angle", words)
    yield largest(axle, f"{key}/most", f"Joint at the {name}, largest angle", over.most, "angle", words, asked=asked)
    yield smallest(axle, f"{key}/least", f"Joint at the {name}, least angle", over.least, "angle", words)


def _slip(axle: Axle, found: ShaftTravel) -> Iterator[Figure]:
    words = "From joint to joint."
    yield Figure("length/ride", "Shaft, ride height", Amount(found.ride.length), "length", words)
    yield largest(axle, "length/most", "Shaft, longest", found.length.most, "length", words)
    yield smallest(axle, "length/least", "Shaft, shortest", found.length.least, "length", words)
    for each in found.asked:
        way = each.place.rpartition("/")[2]
        if way not in {"slip_in", "slip_out"}:
            continue
        label = f"Slip needed, {'shorter' if way == 'slip_in' else 'longer'}"
        limit = "unknown" if each.limit is None else f"{each.limit:.1f} mm"
        note = "what the shaft has is unknown" if each.limit is None else f"it has {limit}"
        warning = f"more than the {limit} it has" if each.verdict == "fails" else ""
        words = "From ride height, over all of the travel that is left."
        yield Figure(way, label, Amount(each.high), "fine", words, note="" if warning else note, warning=warning)


def _layout(found: LayoutFound, missing: tuple[str, ...]) -> Iterator[Figure]:
    amount = Amount(None, missing) if found.axes_apart is None else Amount(found.axes_apart)
    words = "Output's axis against the pinion's at ride height; the note says how the shaft is laid out."
    yield Figure("apart", "Axes apart", amount, "angle", words, note=LAYOUTS[found.layout])
    for rule in found.rules:
        yield _rule(rule, missing)
    if found.ride is not None:
        most = most_by_length(found.ride.length, found.layout)
        if most is not None:
            words = (
                "In degrees: inches of length over 5 with parallel axes, over 10 otherwise (a driveline shop's rule)."
            )
            yield Figure("by_length", "Largest working angle by the shaft's length", Amount(most), "angle", words)
    if found.most_at_speed is not None:
        words = "Whose peak acceleration is what is allowed, at the shaft's fastest turn."
        yield Figure("at_speed", "Largest working angle at that speed", Amount(found.most_at_speed), "angle", words)


def _rule(rule: RuleFound, missing: tuple[str, ...]) -> Figure:
    label, kind, words = RULES[rule.rule]
    end = {"case": "transfer case: ", "pinion": "pinion: ", "": "shaft: "}[rule.end]
    value = None if rule.value is None else radians(rule.value) if kind == "angle" else rule.value
    limit = format_angle(rule.limit) if kind == "angle" else f"{rule.limit:g}"
    side = "least" if rule.rule == "least_deg" else "most"
    warning = f"outside of the rule: {side} {limit}" if rule.holds is False else ""
    return Figure(
        f"rule/{rule.rule}/{rule.end}" if rule.end else f"rule/{rule.rule}", f"Rule, {end}{label}",
        Amount(value) if value is not None else Amount(None, missing), kind, f"At ride height. {words}",
        note="" if warning else f"{side} {limit}", warning=warning,
    )  # fmt: skip


def _pinions(axle: Axle) -> Iterator[Figure]:
    missing = missing_of_shaft(axle)
    for each in compare_pinions(axle, travel_left(axle)):
        yield from _pinion(each, missing)


def _pinion(each: PinionCompared, missing: tuple[str, ...]) -> Iterator[Figure]:
    key, name = each.id or "drawn", f"“{each.name}”" if each.id else "As drawn"
    if each.id:
        key = f"choice/{each.id}"
    droop, travel = each.full_droop, each.travel
    first = tuple(place for place in missing if place.endswith("transfer_output"))
    for end, label in ENDS:
        value = None if droop is None else getattr(droop, end)
        amount = Amount(value) if value is not None else Amount(None, missing if end == "case" else first)
        words = "Working angle in space with both wheels at full droop, whether or not shocks and straps let them."
        yield Figure(f"{key}/droop_{end}", f"{name}: {label} joint, full droop", amount, "angle", words)
    words = "Both wheels and each alone over the travel that is left, from shortest to longest; proved."
    slip = Amount(None, first) if travel is None else Amount(travel.slip_in + travel.slip_out)
    yield Figure(f"{key}/slip", f"{name}: slip", slip, "fine", words)
    words = "Ground to the lower of centre section and pinion at ride height, on the loaded radius."
    yield Figure(f"{key}/ground", f"{name}: ground clearance", Amount(each.ground_clearance), "clearance", words)


def _gears(found: GearTable, rpm: tuple[float, ...]) -> Iterator[Figure]:
    places = found.missing
    note = "measured" if found.measured else "by the share of the free radius"
    words = "Rolling circumference over 2π; smaller than the free radius."
    yield Figure("rolling", "Rolling radius", Amount(found.rolling_radius), "length", words, note=note)
    crawl = Amount(found.crawl_ratio) if found.crawl_ratio is not None else Amount(None, places)
    yield Figure("crawl", "Crawl ratio", crawl, "factor", "Lowest of all ratios, engine to tire.")
    for row in found.rows:
        key, name = f"{'low/' if row.crawl_box else ''}{row.range}/{row.gear}", _gear(row)
        words = "Gear times transfer case, crawl box, axle and hubs."
        yield Figure(f"ratio/{key}", f"{name}: overall ratio", Amount(row.ratio), "factor", words)
        for speed, revs in zip(row.speeds, rpm, strict=True):
            words = "Revolutions times rolling circumference over the overall ratio."
            yield Figure(f"speed/{key}/{revs:g}", f"{name}: speed at {revs:g} rpm", Amount(speed), "speed", words)
    for tire in found.tires:
        key, name = f"tire/{tire.size}", f"On {tire.size}"
        words = "Road speed at the same revolutions over that on the rig's tire; the pull is its inverse."
        yield Figure(f"{key}/speed", f"{name}: speed", Amount(tire.speed_share), "share", words)
        equal = Amount(tire.equal_axle) if tire.equal_axle is not None else Amount(None, places)
        words = "Ring and pinion that bring the speed back."
        yield Figure(f"{key}/axle", f"{name}: equal axle ratio", equal, "factor", words)
        words = "By how much it raises the axle, by the loaded radii that are known or taken."
        yield Figure(f"{key}/height", f"{name}: lift of the axle", Amount(tire.axle_height), "length", words)


def _gear(row: GearRow) -> str:
    parts = [f"Gear {row.gear}", f"range {row.range}" if row.range else "", "crawl box low" if row.crawl_box else ""]
    return ", ".join(part for part in parts if part)
