"""Links and bars: how their joints lean, and what they make of the axle."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from app.figures.figure import Figure, Group, Kind, attempt
from app.figures.over_travel import largest, smallest, travel_left
from geometry.links.misalignment import RodJoints, rod_joints
from geometry.links.motion import LinkPose, is_front, link_poses, link_travel, understeer
from geometry.links.squat import antis
from geometry.motion.asked import Verdict
from geometry.motion.travel import RIDE_HEIGHT
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.stance.masses import rig_masses
from geometry.stance.pitch import assumed_masses

TWIST: Final[dict[Verdict, tuple[str, str]]] = {
    "holds": ("both joints take it", ""),
    "fails": ("", "both joints together do not take it: the rod binds"),
    "unknown": ("whether both joints take it is not known", ""),
}

BARTON: Final = "D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering."


def rods(rig: Rig, axle: Axle) -> Group:
    """Joint angles against their limits, shifts, centres, roll steer and anti-squat; takes time."""
    figures, refused = attempt(lambda: tuple(_figures(rig, axle)))
    remark = "Extremes are proved over the travel that shocks, stops and straps leave; the rest is at ride height."
    return Group("rods", "Links and bars", (), figures, remark, refused)


def _figures(rig: Rig, axle: Axle) -> Iterator[Figure]:
    left = travel_left(axle)
    for each in rod_joints(axle, left):
        yield from _joints(axle, each)
    found = link_travel(axle, left)
    rows: tuple[tuple[str, str, Kind, str, str, str], ...] = (
        (
            "side_shift",
            "Sideways shift",
            "offset",
            "Axle's centre from the centre plane.",
            "to the right",
            "to the left",
        ),
        (
            *("forward_shift", "Fore and aft shift", "length"),
            "Axle's centre against ride height, forward positive.",
            *("rearmost", "foremost"),
        ),
        ("steer", "Steer of the axle", "angle", "Whole axle seen from above, left positive.", "least", "greatest"),
        ("pinion_angle", "Pinion angle", "angle", "Pinion above the level, up positive.", "least", "greatest"),
    )
    for key, label, kind, words, low, high in rows:
        over = getattr(found, key)
        yield smallest(axle, f"{key}/least", f"{label}, {low}", over.least, kind, words)
        yield largest(axle, f"{key}/most", f"{label}, {high}", over.most, kind, words)
    ride = link_poses(axle, (RIDE_HEIGHT,))[0]
    yield from _centres(rig, axle, ride)
    yield from _antis(rig, axle, ride)


def _joints(axle: Axle, each: RodJoints) -> Iterator[Figure]:
    name = {rod.id: rod.name or rod.id for rod in axle.rods}[each.rod]
    assumed = "One bolt at least is taken to lie level and square to the rod." if each.bolts_assumed else ""
    for end, lean, asked in zip(("chassis", "axle"), (each.chassis, each.axle), each.asked, strict=True):
        words = f"Bore of its eye against the bolt. {assumed}".strip()
        label = f"{name}: joint at the {end}"
        yield largest(axle, f"{each.rod}/{end}", label, lean, "angle", words, asked=asked)
    if each.twist is None:
        return
    words = "Turn of one bolt against the other about the rod since ride height."
    figure = largest(axle, f"{each.rod}/twist", f"{name}: twist", each.twist, "angle", words)
    note, warning = TWIST[each.twist_verdict]
    notes = ", ".join(part for part in (figure.note, note) if part)
    yield Figure(
        figure.key, figure.label, figure.amount, "angle", figure.definition, note=notes, warning=warning,
        none=figure.none,
    )  # fmt: skip


def _centres(rig: Rig, axle: Axle, ride: LinkPose) -> Iterator[Figure]:
    words = "Above the ground in the plane across the axle; a sideways force there does not roll the chassis."
    yield Figure("roll_centre", "Roll centre height", Amount(ride.roll_centre), "length", f"{words} {BARTON}")
    words = "Above the level, upward to the front positive."
    yield Figure("roll_axis", "Roll axis, slope", Amount(ride.roll_axis), "angle", words)
    front = is_front(axle, [each.station for each in rig.axles])
    words = "How far the axle turns out of a bend per degree that the body rolls; negative = into it."
    under = Amount(understeer(ride.roll_steer, front=front))
    yield Figure("understeer", "Roll steer as understeer", under, "slope", words)
    centre = ride.instant_centre
    for at, key, label, words in (
        (0, "instant_x", "Instant centre, ahead of the axle", "Forward positive, in the centre plane."),
        (1, "instant_z", "Instant centre, height", "Above the ground."),
    ):
        amount = Amount(None) if centre is None else Amount(centre[at])
        yield Figure(key, label, amount, "length", words, none="none: the axle does not turn as it goes up")


def _antis(rig: Rig, axle: Axle, ride: LinkPose) -> Iterator[Figure]:
    front = is_front(axle, [each.station for each in rig.axles])
    what = "Anti-lift" if front else "Anti-squat"
    radius = tire_dimensions(axle.tire).loaded_radius
    for state in rig_masses(rig).states:
        assumed = assumed_masses(rig, axle, state)
        share = antis(ride, assumed, front=front, loaded_radius=radius).drive
        words = f"Part of the load shift that the rods carry when this axle alone drives; the rig is one mass. {BARTON}"
        height = assumed.gravity_height
        note = "" if height is None else f"gravity taken {height:.1f} mm high"
        base = assumed.wheelbase
        note += f", wheelbase {base:.1f} mm" if note and base is not None else ""
        amount = Amount(share) if share is not None else Amount(None, assumed.missing)
        yield Figure(f"anti/{state.state}", f"{what}, {state.state}", amount, "share", words, note=note)
