"""The leaf springs that locate an axle, and how they are measured."""

from __future__ import annotations

from typing import Final

from app.panels.records.items import Group, Item, point_group

_HOW: Final = (
    "on the left side, at ride height: forward from below the rear axle, left of the centre plane, up from the ground."
)


def _tape(words: str, name: str, tip: str, plain: float | None = None) -> Item:
    return Item(words, ("leaf_springs", name), "tape", tip, needed=plain is None, plain=plain)


def _bolt(title: str, name: str, tip: str) -> Group:
    return point_group(title, ("leaf_springs", name), f"Measure to the {tip} {_HOW}", needed=True)


LEAVES: Final = (
    Group(
        "Pack",
        (
            _tape("Clamped length", "clamp", "Measure along the pack between the outer edges of its U-bolts.", 100.0),
            Item(
                "Leaf factor",
                ("leaf_springs", "leaf_factor"),
                "number",
                "Enter 0.75 for a pack of graduated leaves, 0.83 for a single leaf.",
                plain=0.75,
            ),
            _tape("Sag under load", "sag", "Measure how much lower the frame sits than with its springs free.", 100.0),
            _tape("Width", "width", "Put a caliper across a leaf.", 63.5),
            _tape("Thickness", "thickness", "Measure the whole pack at its centre bolt.", 45.0),
            Item(
                "Seat, angle",
                ("leaf_springs", "seat_deg"),
                "angle",
                "Put an angle gauge on the pack at its centre bolt at ride height: front end up is positive.",
                empty="along the line through both eyes",
            ),
            Item(
                "Wind-up",
                ("leaf_springs", "wind_up_deg"),
                "angle",
                "Enter how far torque turns the axle on its springs: front side up is positive.",
                plain=0.0,
            ),
        ),
    ),
    Group(
        "Left out of the check",
        (
            _tape("At each eye", "eye_room", "Measure from the eye's bolt to where its bracket ends.", 75.0),
            _tape("At the shackle's pivot", "shackle_room", "Measure from that bolt to where its bracket ends.", 50.0),
        ),
    ),
    _bolt("Fixed eye", "fixed_eye", "bolt that holds the spring's eye to the frame"),
    _bolt("Shackle, at the spring", "shackle_eye", "bolt in the spring's other eye"),
    _bolt("Shackle, at the frame", "shackle_pivot", "shackle's bolt in the frame"),
    _bolt("Seat", "seat", "middle of the pack at its centre bolt"),
)
"""All of it is told for the left spring."""
