"""What ends the travel, and how it is measured: shocks, bump stops, limit straps."""

from __future__ import annotations

from typing import Final

from app.panels.records.items import Group, Item, point_group

_HOW: Final = "at ride height: forward from below the rear axle, left of the centre plane, up from the ground."


def _part(title: str, example: str, *more: Item) -> Group:
    name = Item("Name", ("name",), "text", f"Call it what you call it in the shop: {example}.", empty="")
    mirrored = Item(
        "Mirrored: on both sides",
        ("mirrored",),
        "tick",
        "Tick it when there is another one as far to the other side.",
        plain=False,
    )
    return Group(title, (name, *more, mirrored))


SHOCK: Final = (
    _part(
        "Shock or coil-over",
        "outer shock, coil-over",
        Item(
            "Collapsed length",
            ("collapsed",),
            "tape",
            "Push it together without its bump rubber and measure from the middle of one eye to that of the other.",
            needed=True,
        ),
        Item(
            "Extended length",
            ("extended",),
            "tape",
            "Pull it out to its end and measure from the middle of one eye to that of the other.",
            needed=True,
        ),
        Item("Body diameter", ("body_od",), "tape", "Put a caliper across the thickest part of the body.", plain=63.5),
        Item("Shaft diameter", ("shaft_od",), "tape", "Put a caliper across the bare shaft.", plain=22.2),
        Item(
            "Body sits at",
            ("body_at",),
            "choice",
            "Choose the end that the body hangs on; the shaft hangs on the other one.",
            choices={"chassis": "The chassis", "axle": "The axle"},
            plain="chassis",
        ),
        Item(
            "Spring, outside",
            ("spring_od",),
            "tape",
            "Measure across the outside of the coil; leave it empty on a shock without one.",
            empty="no spring",
        ),
        Item(
            "Joint room",
            ("joint_room",),
            "tape",
            "Measure from the middle of an eye to where its bracket ends: the check leaves that much out at both ends.",
            plain=50.0,
        ),
    ),
    point_group("Eye on the chassis", ("chassis",), f"Measure to the middle of the upper bolt {_HOW}", needed=True),
    point_group("Eye on the axle", ("axle",), f"Measure to the middle of the lower bolt {_HOW}", needed=True),
)

STOP: Final = (
    _part(
        "Bump stop",
        "air bump, rubber",
        Item(
            "Free height",
            ("height",),
            "tape",
            "Measure from its seat to its tip when nothing presses it; of an air bump with its shaft out.",
            needed=True,
        ),
        Item(
            "Compressed height",
            ("compressed",),
            "tape",
            "Take it from its data sheet, or press it until it gives no more and measure from its seat to its tip.",
            needed=True,
        ),
    ),
    point_group("Seat on the chassis", ("chassis",), f"Measure to the middle of the stop's seat {_HOW}", needed=True),
    point_group("Pad on the axle", ("axle",), f"Measure to where the stop will meet the axle {_HOW}", needed=True),
)

STRAP: Final = (
    _part(
        "Limit strap",
        "centre strap, outer strap",
        Item(
            "Taut length",
            ("length",),
            "tape",
            "Hang a load on it and measure from the middle of one hole to that of the other: straps stretch.",
            needed=True,
        ),
    ),
    point_group("End on the chassis", ("chassis",), f"Measure to the middle of its upper bolt {_HOW}", needed=True),
    point_group("End on the axle", ("axle",), f"Measure to the middle of its lower bolt {_HOW}", needed=True),
)
