"""What turns the steered wheels, and how it is measured: tie rod or Ackermann share, drag link, ram."""

from __future__ import annotations

from typing import Final

from app.panels.records.items import Group, Item, record_group
from geometry.rig.steer_gear import Ackermann, DragLink, Ram, TieRod

_AXES: Final = ("x", "y", "z")
_FACE: Final = (
    "from the middle of the left wheel mounting face, axle level and wheels straight: forward, left, up; inboard is a "
    "minus to the left."
)
_RIG: Final = "at ride height: forward from below the rear axle, left of the centre plane, up from the ground."
_WAYS: Final = ("forward", "left", "up")


def _place(words: str, name: str, tip: str) -> tuple[Item, ...]:
    return tuple(
        Item(f"{words}, {way}", (name, axis), "tape", tip, needed=True) for way, axis in zip(_WAYS, _AXES, strict=True)
    )


def _rod_od(of: str) -> Item:
    return Item("Tube, outside", ("od",), "tape", f"Put a caliper across the tube of the {of}.", plain=38.1)


STEERING: Final = (
    record_group(
        "Tie rod",
        ("steering", "tie_rod"),
        TieRod,
        (
            *_place("Arm's ball", "arm", f"Measure to the middle of the tie rod's ball joint {_FACE}"),
            _rod_od("tie rod"),
        ),
        "It ties both knuckles; the right arm mirrors the left one.",
    ),
    record_group(
        "Ackermann share, without a tie rod",
        ("steering", "ackermann"),
        Ackermann,
        (
            Item(
                "Share",
                ("share_factor",),
                "number",
                "Write 0 when both wheels turn alike, 1 when the outer one turns less by what correct steering asks.",
                needed=True,
            ),
            Item(
                "Turns about a line",
                ("turn_length",),
                "tape",
                "Measure from this axle back to the line that the rig turns about, as a rule the wheelbase.",
                needed=True,
            ),
        ),
        "For a rig whose arms are not measured yet; with a tie rod its arms say it.",
    ),
    record_group(
        "Drag link",
        ("steering", "drag_link"),
        DragLink,
        (
            *_place("Pitman ball", "pitman", f"Measure to the middle of the ball joint on the pitman arm {_RIG}"),
            *_place("Pitman shaft", "shaft", f"Measure to where the axis of the pitman shaft leaves the box {_RIG}"),
            *_place("Along the shaft", "shaft_end", f"Measure to a second point of the pitman shaft's axis {_RIG}"),
            Item(
                "Goes to the",
                ("knuckle",),
                "choice",
                "Choose the knuckle that the drag link ends at.",
                needed=True,
                choices={None: "unknown", "left": "Left knuckle", "right": "Right knuckle"},
            ),
            *_place(
                "Knuckle's ball",
                "arm",
                f"Measure to the middle of the drag link's ball joint as if it were on the left knuckle, {_FACE}",
            ),
            _rod_od("drag link"),
        ),
    ),
    record_group(
        "Ram",
        ("steering", "ram"),
        Ram,
        (
            Item(
                "Line, forward",
                ("forward",),
                "tape",
                "Measure from the middle of the axle tube forward to the middle of the ram; behind it with a minus.",
                needed=True,
            ),
            Item(
                "Line, up",
                ("up",),
                "tape",
                "Measure from the middle of the axle tube up to the middle of the ram; below it with a minus.",
                needed=True,
            ),
            Item(
                "Stroke",
                ("stroke",),
                "tape",
                "Push the rod from one end to the other and measure its whole way.",
                needed=True,
            ),
            Item("Body length", ("length",), "tape", "Measure the body from end cap to end cap.", needed=True),
            Item("Body diameter", ("od",), "tape", "Put a caliper across the thickest part of the body.", plain=63.5),
            Item(
                "Rod, eye to eye",
                ("eyes",),
                "tape",
                "Measure between the joints of the links at both ends of the rod.",
                needed=True,
            ),
            *_place("Arm's ball", "arm", f"Measure to the middle of the ball joint of the ram's link {_FACE}"),
        ),
        "Double-ended, on the axle and across it, with a link from either end to the arm there.",
    ),
    Group(
        "Shafts in the knuckles",
        (
            Item(
                "Largest joint angle",
                ("steering", "joint_limit_deg"),
                "angle",
                "Take the largest working angle of the axle shafts' joints from their data sheet.",
            ),
        ),
    ),
)
