"""What is measured and chosen about an axle, and how."""

from __future__ import annotations

from typing import Final

from app.panels.records.items import Group, Item, point_group

DATUMS: Final = {
    "pinion": "Pinion centreline",
    "centre-face": "Face of the centre section",
    "tube-end": "End of the tube",
}
ROUNDINGS: Final = {"none": "Not rounded", "1/16 in": "1/16 in", "1/32 in": "1/32 in", "0.5 mm": "0.5 mm"}
CLASSES: Final = {None: "None", "A": "ISO 13920 A, fine", "B": "ISO 13920 B", "C": "ISO 13920 C", "D": "ISO 13920 D"}

_SIDE: Final = (
    (
        "End addition",
        "end_addition",
        (
            "Assemble hub, bearing and end on the bench and measure from the face that the tube meets to the wheel "
            "mounting face."
        ),
    ),
    (
        "Centre section, half",
        "centre_half",
        "Measure along the axle line from the pinion centreline to the face that the tube goes into.",
    ),
    (
        "Tube in centre section",
        "insertion_centre",
        "Measure the depth of the bore that takes the tube, or the rub mark on the old tube; 0 for a butted tube.",
    ),
    (
        "Tube in end",
        "insertion_end",
        "Measure how deep the tube goes into the end or knuckle; 0 for a butted tube.",
    ),
    (
        "Weld shrink",
        "shrink",
        "Weld a test joint of the same tube and measure by how much it became shorter; 0 when all welds are done.",
    ),
)


def _side(side: str) -> Group:
    items = tuple(
        Item(words, ("build", side, name), "fine" if name == "shrink" else "tape", tip) for words, name, tip in _SIDE
    )
    copied = (("build", "left"), ("build", "right")) if side == "right" else None
    return Group(f"{side.capitalize()} side", items, copied, note="")


CUTS: Final = (
    Group(
        "Tape and saw",
        (
            Item(
                "Marks count from",
                ("build", "datum"),
                "choice",
                "Choose where you hook the tape: every mark of the cut plan is measured from there.",
                choices=DATUMS,
                plain="pinion",
            ),
            Item(
                "Round marks to",
                ("build", "rounding"),
                "choice",
                "Choose the finest step that you can mark and cut to.",
                choices=ROUNDINGS,
                plain="none",
            ),
            Item(
                "Rounding may cost",
                ("build", "rounding_limit"),
                "fine",
                "Give the largest error of the width that rounding may make; empty lets it make any.",
                empty="no limit",
            ),
            Item(
                "Saw cut",
                ("build", "kerf"),
                "fine",
                "Saw a slit into scrap tube with the blade that you will use, and measure its width.",
            ),
        ),
    ),
    _side("left"),
    _side("right"),
    Group(
        "Tolerance of the welded axle",
        (
            Item(
                "Class",
                ("build", "tolerance_class"),
                "choice",
                "Choose the class of ISO 13920 to which the welded axle is held.",
                choices=CLASSES,
            ),
            Item(
                "Own, lengths ±",
                ("build", "tolerance"),
                "fine",
                "Give what you allow lengths to be off either way; it counts in place of the class.",
                empty="by class",
            ),
            Item(
                "Own, angles ±",
                ("build", "tolerance_deg"),
                "angle",
                "Give what you allow caster and pinion angle to be off either way; it counts in place of the class.",
                empty="by class",
            ),
        ),
    ),
)

ANGLES: Final = (
    Group(
        "Caster and pinion",
        (
            Item(
                "Separation",
                ("build", "separation_deg"),
                "angle",
                "Put an angle gauge on pinion flange and kingpin: front pinion facing rearward, add pinion angle and "
                "caster; facing forward, take the pinion angle off the caster.",
            ),
        ),
    ),
    point_group(
        "Joint at the transfer case",
        ("build", "transfer_output"),
        "Measure to the middle of the driveshaft's joint at the transfer case: forward from below the rear axle, left "
        "of the centre plane, up from the ground.",
    ),
    Group(
        "Inside the wheel",
        (
            Item(
                "Rim, inside radius",
                ("build", "rim_inside_radius"),
                "tape",
                "Measure across the inside of the rim's barrel where the brake sits, and take half.",
            ),
            Item(
                "Brake, largest radius",
                ("build", "brake_radius"),
                "tape",
                "Measure from the middle of the hub to the farthest point of the caliper or drum.",
            ),
            Item(
                "Knuckle to mounting face",
                ("build", "knuckle_inset"),
                "tape",
                "Measure from the wheel mounting face inboard to the nearest part of knuckle or steering arm that the "
                "rim's edge could meet.",
            ),
        ),
    ),
)

PERCH: Final = (
    Group(
        "Perch or bracket",
        (
            Item("Name", ("name",), "text", "Call it what you call it in the shop.", empty=""),
            Item(
                "Middle",
                ("at",),
                "tape",
                "Measure from the vehicle's centre plane to its middle; to the right with a minus sign.",
                needed=True,
            ),
            Item("Width", ("width",), "tape", "Measure it along the tube, without its welds.", needed=True),
            Item(
                "Weld leg",
                ("weld_leg",),
                "fine",
                "Measure how far the weld on either side reaches along the tube; 0 if it stays under the perch.",
            ),
            Item(
                "Seat angle",
                ("angle_deg",),
                "angle",
                "Put an angle gauge on its seat at ride height: forward end up is positive.",
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
)

_SHAFT: Final = (
    (
        "Flange to mounting face",
        "flange",
        "tape",
        (
            "Measure from the wheel mounting face out to the face of the shaft's flange; for a shaft with a joint in "
            "the knuckle, to the middle of the joint, with a minus sign."
        ),
        "unknown",
    ),
    (
        "Pinion to gear face",
        "gear_face",
        "tape",
        "Measure from the pinion centreline to the outer end of the splines of the side gear.",
        "unknown",
    ),
    (
        "Spline engagement",
        "engagement",
        "tape",
        "Give how far the shaft goes into the side gear: the polished length on an old shaft.",
        "unknown",
    ),
    ("Spline length", "spline_length", "tape", "Measure the length of full splines on the shaft.", "unknown"),
    (
        "End play",
        "end_play",
        "fine",
        "Give the room to leave at the shaft's end; it is taken off its length.",
        "unknown",
    ),
    (
        "Stock lengths",
        "stock",
        "lengths",
        "List the lengths that you can buy, with semicolons between them: 29 1/2; 30; 31.",
        "none listed",
    ),
)


def _shaft(side: str) -> Group:
    items = tuple(
        Item(words, ("build", side, "shaft", name), kind, tip, empty, plain=() if kind == "lengths" else None)  # type: ignore[arg-type]
        for words, name, kind, tip, empty in _SHAFT
    )
    copied = (("build", "left", "shaft"), ("build", "right", "shaft")) if side == "right" else None
    return Group(f"{side.capitalize()} shaft", items, copied)


SHAFTS: Final = (_shaft("left"), _shaft("right"))


def _mock_up(side: str) -> Group:
    return Group(
        f"{side.capitalize()} side",
        (
            Item(
                "Sleeve",
                ("build", "mockup", f"sleeve_{side}"),
                "tape",
                "Measure from the pinion centreline, as marked on the sleeve, to its mouth.",
            ),
            Item(
                "Slider",
                ("build", "mockup", f"slider_{side}"),
                "tape",
                "Measure from the slider's inner end to its wheel mounting face.",
            ),
        ),
    )


MOCK_UP: Final = (
    _mock_up("left"),
    _mock_up("right"),
    Group(
        "Both sides",
        (
            Item(
                "Least overlap",
                ("build", "mockup", "least_overlap"),
                "tape",
                "Give how much of a slider must stay inside the sleeve so that it does not wobble.",
            ),
        ),
    ),
)

_STAGES: Final = {"tacked": "Tacked", "welded": "Welded"}

_MEASURED: Final = (
    ("Width", "width", "tape", "Measure from one wheel mounting face to the other, through the middle."),
    ("Left half", "half_left", "tape", "Measure from the pinion centreline to the left wheel mounting face."),
    ("Right half", "half_right", "tape", "Measure from the pinion centreline to the right wheel mounting face."),
    (
        "Pinion offset",
        "pinion_offset",
        "tape",
        "Measure from the middle between the mounting faces to the pinion centreline; to the right with a minus sign.",
    ),
    ("Left mark", "mark_left", "tape", "Measure the left mark from where the cut plan counts, as you find it."),
    ("Right mark", "mark_right", "tape", "Measure the right mark from where the cut plan counts, as you find it."),
    ("Caster", "caster_deg", "angle", "Put an angle gauge on the kingpin at ride height: top rearward is positive."),
    ("Pinion angle", "pinion_angle_deg", "angle", "Put an angle gauge on the pinion at ride height: up is positive."),
    ("Tire diameter", "tire_diameter", "tape", "Measure the mounted and aired-up tire off the ground, across."),
    ("Section width", "section_width", "tape", "Measure across the mounted tire's sidewalls with two straight edges."),
    ("Loaded radius", "loaded_radius", "tape", "Measure from the ground to the middle of the hub, rig at its weight."),
)  # fmt: skip

AS_BUILT: Final = (
    Group(
        "Record",
        (
            Item("Date", ("as_built", "date"), "day", "Write year, month and day, as in 2026-05-31.", needed=True),
            Item(
                "Stage",
                ("as_built", "stage"),
                "choice",
                "Say whether the axle was only tacked when you measured it, or welded out.",
                choices=_STAGES,
            ),
            Item("Measured by", ("as_built", "by"), "text", "Write your initials.", empty="initials"),
            Item(
                "Note", ("as_built", "note"), "text", "Write what else is worth knowing, as how cold it was.", empty=""
            ),
        ),
    ),
    Group(
        "Measured",
        tuple(Item(words, ("as_built", name), kind, tip, "not measured") for words, name, kind, tip in _MEASURED),  # type: ignore[arg-type]
    ),
)
