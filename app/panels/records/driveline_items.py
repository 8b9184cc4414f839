"""What turns between engine and tire, and how it is measured: driveshaft, pinions, joints of links, gears."""

from __future__ import annotations

from typing import Final, Literal

from app.panels.records.axle_items import ANGLES
from app.panels.records.items import Group, Item, point_group

_KINDS: Final = {"single": "Single cross", "double": "Double, turns evenly"}


def _joint(end: Literal["case", "pinion"], at: str) -> Group:
    path = ("driveshaft", f"{end}_joint")
    return Group(
        f"Joint at the {at}, kind",
        (
            Item(
                "Kind",
                (*path, "kind"),
                "choice",
                "Count its crosses: a double joint has two, or balls.",
                choices=_KINDS,
                plain="single",
            ),
            Item(
                "Binds at",
                (*path, "limit_deg"),
                "angle",
                "Bend the joint on the bench until it binds and put an angle gauge on it, or take its data sheet.",
            ),
        ),
    )


DRIVESHAFT: Final = (
    next(group for group in ANGLES if group.title == "Joint at the transfer case"),
    Group(
        "Transfer case's output",
        (
            Item(
                "Angle, up",
                ("driveshaft", "output_angle_deg"),
                "angle",
                "Put an angle gauge on the output at ride height: rising towards the axle is positive.",
            ),
            Item(
                "Angle, to the left",
                ("driveshaft", "output_plan_deg"),
                "angle",
                "Sight along the output from above: pointing to the left of straight is positive.",
                plain=0.0,
            ),
        ),
    ),
    _joint("case", "transfer case"),
    _joint("pinion", "pinion"),
    Group(
        "Shaft",
        (
            Item(
                "Yokes in line",
                ("driveshaft", "yokes_in_line"),
                "tick",
                "Tick it when the two yokes of the shaft itself lie in one plane, as two single joints want it.",
                plain=True,
            ),
            Item(
                "Pinion face to joint",
                ("driveshaft", "yoke_length"),
                "tape",
                "Measure from the pinion's mounting face to the middle of the joint.",
                plain=0.0,
            ),
            Item(
                "Slip left inward",
                ("driveshaft", "slip_in"),
                "tape",
                "Mark the slip at ride height, push the shaft together and measure the way.",
            ),
            Item(
                "Slip left outward",
                ("driveshaft", "slip_out"),
                "tape",
                "Mark the slip at ride height, pull the shaft apart to its last safe spline and measure the way.",
            ),
            Item("Tube, outside", ("driveshaft", "diameter"), "tape", "Put a caliper across its tube.", plain=76.2),
            Item(
                "Joint room",
                ("driveshaft", "joint_room"),
                "tape",
                "Measure from the middle of a joint to where its yoke ends: the check leaves that out at both ends.",
                plain=100.0,
            ),
        ),
    ),
    Group(
        "What is asked of it at ride height",
        (
            Item(
                "Least angle",
                ("driveshaft", "rules", "least_deg"),
                "angle",
                "Give the least working angle of a single joint: a little keeps its needles moving.",
                plain=0.5,
            ),
            Item(
                "Largest angle",
                ("driveshaft", "rules", "most_deg"),
                "angle",
                "Give the largest working angle of a single joint that you accept.",
                plain=3.0,
            ),
            Item(
                "Angles apart by",
                ("driveshaft", "rules", "apart_deg"),
                "angle",
                "Give the largest difference between the working angles of two single joints.",
                plain=1.0,
            ),
            Item(
                "Largest, double joint",
                ("driveshaft", "rules", "double_most_deg"),
                "angle",
                "Give the largest working angle of a double joint that you accept.",
                plain=10.0,
            ),
            Item(
                "Speed swing, share",
                ("driveshaft", "rules", "fluctuation"),
                "number",
                "Give the largest swing of the pinion's speed that you accept, as a share of it: 0.01 is a percent.",
                plain=0.0027,
            ),
            Item(
                "Fastest turn, 1/min",
                ("driveshaft", "rules", "shaft_rpm"),
                "number",
                "Work out how fast the shaft turns at the fastest that the rig is driven.",
                empty="unknown",
            ),
            Item(
                "Acceleration, rad/s²",
                ("driveshaft", "rules", "acceleration"),
                "number",
                "Give the peak of a joint's angular acceleration that you accept at that turn.",
                plain=1000.0,
            ),
        ),
    ),
)

PINION: Final = (
    Group(
        "Centre section to compare",
        (
            Item(
                "Name", ("name",), "text", "Call it what you call it in the shop: low pinion, raised pinion.", empty=""
            ),
            Item(
                "Pinion rise",
                ("pinion_rise",),
                "tape",
                "Measure from the axle line up to the pinion's axis, square to it; a low pinion has a minus.",
                empty="as drawn",
            ),
            Item(
                "Pinion offset",
                ("pinion_offset",),
                "tape",
                "Measure from the vehicle's centre plane to the pinion's axis; to the right with a minus sign.",
                empty="as drawn",
            ),
            Item(
                "Pinion length",
                ("pinion_length",),
                "tape",
                "Measure from the axle line to the pinion's mounting face.",
                empty="as drawn",
            ),
            Item(
                "Pinion angle",
                ("pinion_angle_deg",),
                "angle",
                "Put an angle gauge on the pinion at ride height: up is positive.",
                empty="as drawn",
            ),
            Item(
                "Centre section's radius",
                ("centre_radius",),
                "tape",
                "Measure from the axle line to the lowest point of the centre section.",
                empty="as drawn",
            ),
        ),
    ),
)


def _bolt(end: Literal["chassis", "axle"]) -> tuple[Group, Group]:
    where = f"{'Chassis' if end == 'chassis' else 'Axle'} end"
    tip = (
        "Say which way the bolt points, by any length: 0, 1, 0 is straight across; empty is level, square to the link."
    )
    return (
        point_group(f"{where}, bolt", (f"{end}_bolt",), tip, kind="number", empty="square to it"),
        Group(
            f"{where}, joint",
            (
                Item(
                    f"{where} leans at most",
                    (f"{end}_limit_deg",),
                    "angle",
                    "Lean the joint on the bench from bolt square to eye until it binds, or take its data sheet.",
                ),
            ),
        ),
    )


JOINT: Final = (*_bolt("chassis"), *_bolt("axle"))

GEARS: Final = (
    Group(
        "Ratios",
        (
            Item(
                "Transmission",
                ("gears", "transmission"),
                "numbers",
                "List its ratios, the lowest gear first, with semicolons between them: 6.32; 3.09; 1.69; 1.",
                plain=(),
            ),
            Item(
                "Transfer case",
                ("gears", "transfer"),
                "numbers",
                "List its ratios, the high range first: 1; 2.72; empty where there is none.",
                empty="none",
                plain=(),
            ),
            Item("Crawl box", ("gears", "crawl_box"), "number", "Give its low ratio.", empty="none"),
            Item("Ring and pinion", ("gears", "axle"), "number", "Divide the ring gear's teeth by the pinion's."),
            Item("Hub reduction", ("gears", "hub"), "number", "Give the ratio of gears in the hubs.", plain=1.0),
        ),
    ),
    Group(
        "Speed and tire",
        (
            Item(
                "Engine speeds, 1/min",
                ("gears", "rpm"),
                "numbers",
                "List the revolutions at which you want to know the road speed: 1000; 3000.",
                empty="none listed",
                plain=(),
            ),
            Item(
                "Rolling share",
                ("gears", "rolling_share"),
                "number",
                "Divide the rolling radius by half the free diameter; tires of one kind are alike.",
                plain=0.9717,
            ),
            Item(
                "Rolling radius",
                ("gears", "rolling_radius"),
                "tape",
                "Roll the loaded tire ten turns, measure the way and divide it by 62.83; it counts before the share.",
            ),
            Item(
                "Other tires",
                ("gears", "tires"),
                "texts",
                "List sizes to compare with, with semicolons between them: 35x12.50R17; 40x13.50R17.",
                empty="none listed",
                plain=(),
            ),
        ),
    ),
)
