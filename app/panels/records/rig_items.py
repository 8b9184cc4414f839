"""What is measured and chosen about the whole rig, and how: masses, scale readings, rules for the width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from msgspec.structs import asdict

from app.panels.records.items import Group, Item, point_group
from app.panels.records.places import Place, value_at, with_value
from geometry.rig.mass import Weighing
from geometry.rig.rig import Rig

MASS: Final = (
    Group(
        "Part",
        (
            Item("Name", ("name",), "text", "Say what it is: engine, driver, spare wheel.", empty=""),
            Item("Mass", ("mass_kg",), "mass", "Weigh it, or take it from its data sheet; of one if it is mirrored."),
            Item(
                "Aboard",
                ("aboard",),
                "choice",
                "Say whether it is always there, or only when the rig is loaded, as people and luggage are.",
                choices={"always": "Always", "loaded": "Only when loaded"},
                plain="always",
            ),
            Item(
                "Mirrored: on both sides",
                ("mirrored",),
                "tick",
                "Tick it when there is another one as far to the other side.",
                plain=False,
            ),
        ),
    ),
    point_group(
        "Centre of gravity",
        ("at",),
        "Measure to where the part would balance, at ride height: forward from below the rear axle, left of the centre "
        "plane, up from the ground.",
    ),
)

_NAMES: Final = (
    "state", "rear_kg", "front_kg", "rear_left_kg", "front_left_kg", "raised", "lift", "resting_kg",
)  # fmt: skip
_RAISING: Final = ("raised", "lift", "resting_kg")


@dataclass(frozen=True, slots=True)
class WholeWeighing:
    """What scales read, which counts once both axles are weighed, and the raised axle's numbers once all are there."""

    path: Place = ("masses", "measured")

    def values(self, rig: Rig, base: Place) -> tuple[Any, ...]:
        """What the rig has of each reading; without any, a state of which nothing is known."""
        weighing: Weighing | None = value_at(rig, (*base, *self.path))
        return (None,) * len(_NAMES) if weighing is None else tuple(asdict(weighing)[name] for name in _NAMES)

    def put(self, rig: Rig, base: Place, values: Sequence[Any]) -> Rig:
        """The rig with the weighing, or without it as long as an axle is not weighed."""
        given = dict(zip(_NAMES, values, strict=True))
        given["state"] = given["state"] or "empty"
        if any(given[name] is None for name in _RAISING):
            given |= dict.fromkeys(_RAISING)
        weighed = given["rear_kg"] is not None and given["front_kg"] is not None
        changed: Rig = with_value(rig, (*base, *self.path), Weighing(**given) if weighed else None)
        return changed

    def lacks(self, values: Sequence[Any]) -> str:
        """Which readings are missing."""
        given = dict(zip(_NAMES, values, strict=True))
        if all(value is None for name, value in given.items() if name != "state"):
            return ""
        axles = [f"the {side} axle's load" for side in ("rear", "front") if given[f"{side}_kg"] is None]
        if axles:
            return f"Enter {' and '.join(axles)}, too: the scales count once both are known."
        missing = [name for name in _RAISING if given[name] is None]
        if len(missing) in {0, len(_RAISING)}:
            return ""
        words = {"raised": "which axle was raised", "lift": "its lift", "resting_kg": "the load on the other axle"}
        told = " and ".join(words[name] for name in missing)
        return f"Enter {told}, too: the height of the centre of gravity is told from all three."


SCALES: Final = (
    Group(
        "What the scales read",
        (
            Item(
                "The rig was",
                ("masses", "measured", "state"),
                "choice",
                "Say whether people and luggage, all that is aboard only when loaded, were aboard.",
                choices={None: "unknown", "empty": "Empty", "loaded": "Loaded"},
            ),
            Item(
                "Rear axle",
                ("masses", "measured", "rear_kg"),
                "mass",
                "Stand both rear tires on scales, all four level, brakes off, and add the readings.",
            ),
            Item(
                "Front axle",
                ("masses", "measured", "front_kg"),
                "mass",
                "Stand both front tires on scales, all four level, brakes off, and add the readings.",
            ),
            Item(
                "Left rear tire",
                ("masses", "measured", "rear_left_kg"),
                "mass",
                "Read the scale under the left rear tire by itself.",
            ),
            Item(
                "Left front tire",
                ("masses", "measured", "front_left_kg"),
                "mass",
                "Read the scale under the left front tire by itself.",
            ),
            Item(
                "Then raised",
                ("masses", "measured", "raised"),
                "choice",
                "Block the suspension at ride height, raise one axle with the brakes off, and choose which one it was.",
                choices={None: "No axle", "rear": "Rear axle", "front": "Front axle"},
            ),
            Item(
                "Lift of its centre",
                ("masses", "measured", "lift"),
                "tape",
                "Measure the height of the raised hub's middle above where it was; more lift makes it more exact.",
            ),
            Item(
                "Other axle meanwhile",
                ("masses", "measured", "resting_kg"),
                "mass",
                "Read the scales under the axle that stayed on the ground while the other one was up.",
            ),
        ),
        whole=WholeWeighing(),
    ),
)

RULES: Final = (
    Group(
        "Stability",
        (
            Item(
                "Least stability factor",
                ("rules", "least_factor"),
                "number",
                "Half the track over the height of the centre of gravity, least that you accept, empty and loaded.",
                empty="no rule",
            ),
            Item(
                "Least tip angle",
                ("rules", "least_tip_deg"),
                "angle",
                "Side slope that the rig must stand without tipping, empty and loaded.",
                empty="no rule",
            ),
        ),
    ),
    Group(
        "Rail pocket",
        (
            Item(
                "Largest rail pocket",
                ("rules", "most_pocket"),
                "tape",
                "Widest gap that you accept between the outermost tube and the tire's inner face, seen from above.",
                empty="no rule",
            ),
        ),
    ),
)

MEASURES: Final = {
    "outer": "Outside of the tires",
    "tread": "Outer edges of the treads",
    "rim": "Outside of the rims",
}

LIMIT: Final = (
    Group(
        "Width limit",
        (
            Item("Name", ("name",), "text", "Say who sets it: a trail, a trailer, a law.", empty=""),
            Item(
                "Measured at",
                ("measure",),
                "choice",
                "Choose between which points whoever set it measures the width.",
                choices=MEASURES,
            ),
            Item("Largest width", ("most",), "tape", "Write the largest width that is allowed.", needed=True),
        ),
    ),
)
