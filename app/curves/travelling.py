"""What the travel does: shocks, stops and straps, the driveshaft, the rods and what they make of the axle."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, radians

import numpy as np

from app.curves.quantity import Floats, Found, Limit, Quantity
from app.curves.way import Poses
from geometry.driveline.shaft import driveshaft_of, missing_of_shaft, shaft_at
from geometry.errors import LinkageError
from geometry.links.misalignment import joint_leans
from geometry.links.motion import axle_motion, is_front, link_poses
from geometry.links.squat import antis
from geometry.motion.linkage import linkage_of
from geometry.plan.caster import angles_at
from geometry.rig.axle import Axle, Rod
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.stance.masses import rig_masses
from geometry.stance.pitch import assumed_masses
from geometry.stroke.spans import Span, spans_of

STROKES, SHAFT, JOINTS, LINKS = "Shocks and straps", "Driveline", "Joints of the rods", "Links and bars"


def strokes(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """Lengths of shocks, bump stops and straps, what is left of them, and motion ratios."""
    for span in spans_of(axle):
        lengths = poses.spread(span.at(poses.closed)) if poses.reached.any() else poses.nothing
        yield from _of_span(axle, span, lengths)
        if span.part.kind == "shock":
            key, name = _key(axle, span), span.part.label
            words = (
                "By how much it shortens per travel: of both wheels together, or of the left wheel while the other one "
                "goes the other way."
            )
            quantity = Quantity(
                f"{key}/ratio", f"Motion ratio of {name}", "-", STROKES, words, f"{_short(axle, span)} ratio"
            )
            yield Found(quantity, _ratio(axle, span, poses))


def _of_span(axle: Axle, span: Span, lengths: Floats) -> Iterator[Found]:
    key, name, short = _key(axle, span), span.part.label, _short(axle, span)
    title = f"{name[:1].upper()}{name[1:]}"
    if span.part.kind == "bump stop":
        words = "From seat to pad, along the stop's axis."
        bounds = (Limit(span.touched, f"{short} touched"), Limit(span.shortest, f"{short} gives no more"))
        yield Found(Quantity(f"{key}/length", f"{title}: room", "mm", STROKES, words, short), lengths, bounds)
        return
    ends = ((span.shortest, "collapsed"), (span.longest, "extended" if span.part.kind == "shock" else "taut"))
    limits = tuple(Limit(value, f"{short} {word}") for value, word in ends if 0.0 < value < inf)
    yield Found(
        Quantity(f"{key}/length", f"{title}: length", "mm", STROKES, "From end to end.", short), lengths, limits
    )
    words = "What is left to the nearer end of its stroke." if span.part.kind == "shock" else "What it is slack by."
    least = np.minimum(lengths - span.shortest if span.shortest > 0.0 else inf, span.longest - lengths)
    quantity = Quantity(f"{key}/margin", f"{title}: spare", "mm", STROKES, words, f"{short} spare")
    yield Found(quantity, least, (Limit(0.0, "nothing left"),))


def _ratio(axle: Axle, span: Span, poses: Poses) -> Floats:
    """−dL/dt from the axle's own velocities; NaN where the way is no travel."""
    if not poses.reached.any() or not poses.by_left.any():
        return poses.nothing
    linkage, solved = linkage_of(axle), poses.closed
    arms = solved.rotation @ np.array(span.axle)
    along = solved.centre + arms - np.array(span.chassis)
    along = along / np.linalg.norm(along, axis=1)[:, None]
    rates = []
    for left, right in ((1.0, 0.0), (0.0, 1.0)):
        speed, spin = axle_motion(linkage, solved, left, right)
        rates.append(-((speed + np.cross(spin, arms)) * along).sum(axis=1))
    by_left, by_right = poses.by_left[poses.reached], poses.by_right[poses.reached]
    return poses.spread(by_left * rates[0] + by_right * rates[1])


def shaft(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """The driveshaft: both joints, length, slip, and how unevenly it turns."""
    told = shaft_at(axle, poses.travels()) if poses.reached.any() else ()
    of_shaft = driveshaft_of(axle)
    missing = missing_of_shaft(axle)
    of_line = tuple(place for place in missing if place.endswith("transfer_output"))
    single = "Working angle in space, between the shaft and "

    def found(name: str, label: str, unit: str, words: str, line: str, *limits: Limit) -> Found:
        values = poses.nothing if told is None else poses.spread([getattr(each, name) for each in told])
        quantity = Quantity(f"shaft/{name}", label, unit, SHAFT, words, line)  # type: ignore[arg-type]
        return Found(quantity, values, limits, missing if name in {"case", "residual"} else of_line)

    ends = (("case", "transfer case", "the output"), ("pinion", "pinion", "the pinion"))
    for name, where, other in ends:
        limit = getattr(of_shaft, f"{name}_joint").limit_deg
        lines = () if limit is None else (Limit(radians(limit), f"{where} joint binds"),)
        yield found(name, f"Joint at the {where}", "rad", f"{single}{other}.", where, *lines)
    yield found("length", "Length of the driveshaft", "mm", "From joint to joint.", "shaft")
    slips = ((of_shaft.slip_out, 1.0, "slip all out"), (of_shaft.slip_in, -1.0, "slip all in"))
    limits = (Limit(sign * slip, words) for slip, sign, words in slips if slip is not None)
    yield found("slip", "Slip of the driveshaft", "mm", "Longer than at ride height positive.", "slip", *limits)
    words = "Swing of the speed ratio that is left over the whole shaft; 0 = it turns evenly."
    yield found(
        "residual", "Uneven turning", "-", words, "swing", Limit(of_shaft.rules.fluctuation, "allowed at ride height")
    )


def joints(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """How the joints of the rods lean."""
    problem = ""
    try:
        told = joint_leans(axle, poses.travels())
    except LinkageError as error:
        told, problem = ((),) * len(axle.rods), str(error)
    for rod, leans in zip(axle.rods, told, strict=True):
        name = rod.name or rod.id
        for end, words in (
            ("chassis", "Bore of its eye against the bolt, at the chassis."),
            ("axle", "Bore of its eye against the bolt, at the axle."),
            ("twist", "Turn of one bolt against the other about the rod since ride height, which both joints share."),
        ):
            if end == "twist" and leans and leans[0].twist is None:
                continue  # one arm with another rod
            values = poses.nothing if problem else poses.spread([getattr(each, end) for each in leans])
            label = f"{name}: twist" if end == "twist" else f"{name}: joint at the {end}"
            quantity = Quantity(f"joint/{rod.id}/{end}", label, "rad", JOINTS, words, f"{name} {end}")
            yield Found(quantity, values, _limit_of(rod, end, name), problem=problem)


def _limit_of(rod: Rod, end: str, name: str) -> tuple[Limit, ...]:
    limit = None if end == "twist" else getattr(rod, f"{end}_limit_deg")
    return () if limit is None else (Limit(radians(limit), f"{name} {end} binds"),)


def links(rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """Where the axle goes and how it leans, its centres, and what it steers."""
    told = link_poses(axle, poses.travels())
    stations = [each.station for each in rig.axles]
    front = is_front(axle, stations) and len(stations) > 1

    def found(key: str, label: str, unit: str, words: str, line: str, values: list[float | None]) -> Found:
        quantity = Quantity(f"links/{key}", label, unit, LINKS, words, line)  # type: ignore[arg-type]
        return Found(quantity, poses.spread(values))

    def of(name: str, sign: float = 1.0) -> list[float | None]:
        return [sign * getattr(each, name) for each in told]

    yield found(
        "pinion", "Pinion angle", "rad", "Pinion axis above the level, up positive.", "pinion", of("pinion_angle")
    )
    words = "Axle's centre from the centre plane, left positive."
    yield found("side", "Sideways shift", "mm", words, "sideways", of("side_shift"))
    words = "Against ride height, this axle's part alone; longer positive."
    yield found("wheelbase", "Change of wheelbase", "mm", words, "wheelbase", of("forward_shift", 1 if front else -1))
    words = "Turn of the whole axle seen from above, left positive."
    yield found("steer", "Steer of the axle", "rad", words, "axle", of("steer"))
    words = "Left end up positive."
    yield found("roll", "Roll of the axle", "rad", words, "roll", of("roll"))
    words = "Above the ground under the tires in the same pose."
    yield found("roll_centre", "Roll centre height", "mm", words, "roll centre", of("roll_centre"))
    words = "Roll axis above the level, upward to the front positive."
    yield found("roll_axis", "Slope of the roll axis", "rad", words, "roll axis", of("roll_axis"))
    words = "Turn to the left per roll with the left end up; the slope of the roll axis."
    yield found("roll_steer", "Roll steer", "-", words, "roll steer", of("roll_steer"))
    centres = [each.instant_centre for each in told]
    for at, key, label, words in (
        (0, "instant_x", "Instant centre, ahead", "Ahead of the axle's centre; none = the axle does not turn."),
        (1, "instant_z", "Instant centre, height", "Above the ground; none = the axle does not turn."),
    ):
        values = [None if centre is None else centre[at] for centre in centres]
        yield found(key, label, "mm", words, label.partition(", ")[2], values)
    words = "Line from the contact patch to the instant centre, upward to the front positive: rise over run."
    yield found("lean", "Lean of the line to the instant centre", "-", words, "lean", of("lean"))


def squat(rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """Anti-squat of a rear axle, anti-lift of a front axle, the axle driving alone; empty and loaded."""
    told = link_poses(axle, poses.travels())
    stations = [each.station for each in rig.axles]
    front = is_front(axle, stations)
    what = "Anti-lift" if front else "Anti-squat"
    radius = tire_dimensions(axle.tire).loaded_radius
    for state in rig_masses(rig).states:
        assumed = assumed_masses(rig, axle, state)
        shares = [antis(each, assumed, front=front, loaded_radius=radius).drive for each in told]
        words = (
            "Part of the load shift that the rods carry when this axle alone drives, the rig taken as one mass: lean "
            "times wheelbase over height of gravity."
        )
        label = f"{what}, {state.state}"
        quantity = Quantity(f"squat/{state.state}", label, "%", LINKS, words, label.lower())
        values = poses.spread(shares) * 100.0
        yield Found(quantity, values, (Limit(100.0, "all of it"),), assumed.missing)


def caster(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """Caster of both kingpins as the axle turns with its travel."""
    if axle.steering is None:
        return
    problem = ""
    try:
        told = angles_at(axle, poses.travels())
    except LinkageError as error:
        told, problem = (), str(error)
    for side in ("left", "right"):
        values = poses.nothing if problem else poses.spread([getattr(each, f"caster_{side}") for each in told])
        words = "Kingpin axis in the chassis' side view, top rearward positive."
        quantity = Quantity(f"caster/{side}", f"Caster, {side}", "rad", "Steering", words, f"caster {side}")
        yield Found(quantity, values, problem=problem)


def _key(axle: Axle, span: Span) -> str:
    part = span.part.id.removeprefix(f"{axle.id}.")
    return "/".join(word for word in ("stroke", part, span.part.side) if word)


def _short(axle: Axle, span: Span) -> str:
    """What it is called without its axle."""
    return " ".join(word for word in span.part.label.split(" ") if word != axle.id)
