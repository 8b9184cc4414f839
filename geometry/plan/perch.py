"""Room for perches and brackets on the bare tube: which pinion offsets and widths leave it.

Perches stand where springs and links want them, counted from the vehicle's centre plane. Pinion and centre section
move sideways under them with the offset, and the ends move outboard with the width. With a perch and its welds from a
to b, the centre section from o − c_right to o + c_left (offset o) must lie outside of it: o ≤ a − c_left or
o ≥ b + c_right; the ends must lie outside of all perches: width / 2 ≥ b + end addition.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import Final, Literal

from msgspec.structs import replace as altered

from geometry.errors import PlanError
from geometry.plan.amount import Amount, given, missing_of
from geometry.plan.driveshaft import Driveshaft, driveshaft
from geometry.plan.half import LEAST_SHOWING, SUM, PlanSide, at_least, at_most, build_of, half_of, halves_of
from geometry.rig.axle import Axle
from geometry.rig.build import Perch

Obstacle = Literal["centre section", "left end", "right end", "perch"]


@dataclass(frozen=True, slots=True)
class PerchPlace:
    """A perch, or its mirror image, where it stands [mm].

    Attributes
    ----------
    mirror : bool
        It is the mirror image of the perch of that id.
    side : str
        On which tube it stands: that on its side of the pinion, which is not always that on its side of the vehicle.
    low, high : Amount
        From where to where it takes up tube, welds included, left positive from the centre plane.
    from_pinion, from_centre_face, from_wheel_mount : Amount
        Its middle on the finished axle: from the pinion's centreline, outboard; from the face of the centre section,
        outboard; from the wheel mounting face of that side, inboard.

    """

    perch: str
    mirror: bool
    side: PlanSide
    low: Amount
    high: Amount
    from_pinion: Amount
    from_centre_face: Amount
    from_wheel_mount: Amount


@dataclass(frozen=True, slots=True)
class Shortfall:
    """Two parts that want the same tube: a perch, what it meets (another perch by its id), and by how much [mm]."""

    perch: str
    meets: Obstacle
    other: str
    by: float


@dataclass(frozen=True, slots=True)
class OffsetRange:
    """Pinion offsets that leave room [mm], and what the driveshaft has to do at either end of them."""

    low: float
    high: float
    at_low: Driveshaft
    at_high: Driveshaft


@dataclass(frozen=True, slots=True)
class PerchFit:
    """Whether the perches of an axle have room, and what would give it to them [mm].

    Attributes
    ----------
    bare_left, bare_right : Amount
        Bare tube on either side.
    fits : bool or None
        None = unknown, for want of what is in `missing`.
    offsets : tuple of OffsetRange
        Pinion offsets that fit at this width; empty where none does, or where it is unknown.
    least_width : float or None
        Width from which everything fits with the pinion where it is; None = no width does, or unknown.
    nearest_offset : float or None
        Nearest pinion offset that fits at this width; None = none does, or unknown.
    both : (float, float) or None
        Least width at which some pinion offset fits, and that offset; None = no such pair, or unknown.

    """

    axle: str
    bare_left: Amount
    bare_right: Amount
    places: tuple[PerchPlace, ...]
    fits: bool | None
    shortfalls: tuple[Shortfall, ...]
    offsets: tuple[OffsetRange, ...]
    least_width: float | None
    nearest_offset: float | None
    both: tuple[float, float] | None
    missing: tuple[str, ...]


def perch_fit(axle: Axle) -> PerchFit:
    """Room for the perches of an axle. It does not refuse what does not fit: see `check_perches`.

    Raises
    ------
    PlanError
        When not even the tubes fit into the width.

    """
    halves = halves_of(axle)
    places = tuple(_places(axle))
    known = [half.centre_half for half in halves] + [half.end_addition for half in halves]
    missing = missing_of([*known, *(place.low for place in places)])
    unknown = PerchFit(
        axle=axle.id, bare_left=halves[0].showing, bare_right=halves[1].showing, places=places,
        fits=None, shortfalls=(), offsets=(), least_width=None, nearest_offset=None, both=None, missing=missing,
    )  # fmt: skip
    if missing:
        return unknown
    room = _Room(
        offset=axle.housing.pinion_offset,
        width=axle.width,
        centre=(known[0].value or 0.0, known[1].value or 0.0),
        ends=(known[2].value or 0.0, known[3].value or 0.0),
        taken=tuple((place.low.value or 0.0, place.high.value or 0.0) for place in places),
        names=tuple(place.perch for place in places),
    )
    shortfalls = tuple(room.shortfalls())
    ranges = room.offsets()
    return replace(
        unknown,
        fits=not shortfalls,
        shortfalls=shortfalls,
        offsets=tuple(OffsetRange(low, high, driveshaft(axle, low), driveshaft(axle, high)) for low, high in ranges),
        least_width=room.least_width(room.offset) if room.is_free(room.offset) else None,
        nearest_offset=_nearest(room.offset, ranges),
        both=room.both(),
    )


def check_perches(axle: Axle) -> None:
    """Refuse perches that have no room.

    Raises
    ------
    PlanError
        With the perch that lacks most, by how much, and the place, width or pinion offset that would give it room, or
        how much room there is.

    """
    fit = perch_fit(axle)
    if not fit.shortfalls:
        return
    worst = max(fit.shortfalls, key=lambda each: each.by)
    nearest = tuple(_nearest_values(axle, fit, worst.perch))
    remedies = [_REMEDIES[place.rpartition("/")[2]].format(value) for place, value in nearest]
    if fit.least_width is None and fit.nearest_offset is None and fit.both is not None:
        remedies.append(_both(axle, fit.both))
    remedy = ", or ".join(remedies) or "move the perches apart or make them narrower"
    meets = f"perch “{worst.other}”" if worst.meets == "perch" else f"the {worst.meets}"
    raise PlanError(
        f"axles/{axle.id}/build/perches/{worst.perch}",
        f"perch “{worst.perch}” with its welds and {meets} want the same {worst.by:.1f} mm of tube; "
        f"{_room_words(axle, worst.perch)}{remedy}",
        by=worst.by,
        nearest=nearest,
    )


_REMEDIES: Final = {
    "at": "put its middle {:.10g} mm from the centre plane",
    "width": "make the width at least {:.1f} mm",
    "pinion_offset": "set the pinion offset to {:.10g} mm",
}
"""What to do with each value that works."""


def _nearest_values(axle: Axle, fit: PerchFit, perch: str) -> Iterator[tuple[str, float]]:
    """Values that each give a perch its room, that of its own place first."""
    at = _nearest_place(axle, perch)
    if at is not None:
        yield f"axles/{axle.id}/build/perches/{perch}/at", at
    if fit.least_width is not None:
        yield f"axles/{axle.id}/width", at_least(fit.least_width)
    if fit.nearest_offset is not None:
        yield f"axles/{axle.id}/housing/pinion_offset", _told(fit.nearest_offset, fit.offsets)


def _both(axle: Axle, both: tuple[float, float]) -> str:
    """A width and an offset that work together: a little wider than least, so that the offset has some room."""
    width = at_least(both[0] + LEAST_SHOWING)
    fit = perch_fit(altered(axle, width=width))
    offset = both[1] if fit.nearest_offset is None else _told(fit.nearest_offset, fit.offsets)
    return f"make the width at least {width:.1f} mm and set the pinion offset to {offset:.10g} mm"


def _nearest_place(axle: Axle, perch: str) -> float | None:
    """The nearest middle [mm] at which a perch, and its mirror image, meet nothing; None = there is none."""
    build = build_of(axle)
    moved = next(each for each in build.perches if each.id == perch)
    reach = moved.width / 2.0 + (moved.weld_leg or 0.0)
    edges = [edge for low, high in _gaps(axle, perch) for edge in (at_least(low + reach), at_most(high - reach))]
    if moved.mirrored:
        edges += [-edge for edge in edges] + [at_least(reach), at_most(-reach)]
    for at in sorted(edges, key=lambda edge: abs(edge - moved.at)):
        perches = tuple(altered(each, at=at) if each.id == perch else each for each in build.perches)
        tried = perch_fit(altered(axle, build=altered(build, perches=perches)))
        if not any(perch in {each.perch, each.other} for each in tried.shortfalls):
            return at
    return None


def _gaps(axle: Axle, perch: str) -> list[tuple[float, float]]:
    """Bare tube from, to [mm] between everything but one perch, right to left."""
    fit, (left, right), offset = perch_fit(axle), halves_of(axle), axle.housing.pinion_offset
    known = [part.value or 0.0 for half in (left, right) for part in (half.centre_half, half.end_addition)]
    ends = (-axle.width / 2.0 + known[3], axle.width / 2.0 - known[1])
    taken = [(offset - known[2], offset + known[0])]
    taken += [(place.low.value or 0.0, place.high.value or 0.0) for place in fit.places if place.perch != perch]
    taken.sort()
    gaps, low = [], ends[0]
    for one, other in taken:
        gaps.append((low, one))
        low = max(low, other)
    return [gap for gap in (*gaps, (low, ends[1])) if gap[0] < gap[1]]


def _room_words(axle: Axle, perch: str) -> str:
    """How much room there is for a perch that is wider than every gap; empty = it is not."""
    moved = next(each for each in build_of(axle).perches if each.id == perch)
    takes = moved.width + 2.0 * (moved.weld_leg or 0.0)
    most = max((high - low for low, high in _gaps(axle, perch)), default=0.0)
    if takes <= most:
        return ""
    return f"it takes {takes:.1f} mm, and the most bare tube there is in one piece is {at_most(most):.1f} mm; "


def _told(offset: float, ranges: Sequence[OffsetRange]) -> float:
    """An offset that fits, on a tenth of a millimetre if one within its range is near."""
    span = next(span for span in ranges if span.low - SUM <= offset <= span.high + SUM)
    rounded = at_least(offset) if offset <= (span.low + span.high) / 2.0 else at_most(offset)
    return rounded if span.low - SUM <= rounded <= span.high + SUM else offset


def _places(axle: Axle) -> Iterator[PerchPlace]:
    for perch in build_of(axle).perches:
        yield _place(axle, perch, perch.at, mirror=False)
        if perch.mirrored and abs(perch.at) > SUM:
            yield _place(axle, perch, -perch.at, mirror=True)


def _place(axle: Axle, perch: Perch, at: float, *, mirror: bool) -> PerchPlace:
    offset = axle.housing.pinion_offset
    reach = Amount(perch.width / 2.0) + given(perch.weld_leg, f"axles/{axle.id}/build/perches/{perch.id}/weld_leg")
    side: PlanSide = "left" if at >= offset else "right"
    from_pinion, half = Amount(abs(at - offset)), half_of(axle, side)
    return PerchPlace(
        perch=perch.id,
        mirror=mirror,
        side=side,
        low=Amount(at) - reach,
        high=Amount(at) + reach,
        from_pinion=from_pinion,
        from_centre_face=from_pinion - half.centre_half,
        from_wheel_mount=half.half - from_pinion,
    )


def _nearest(offset: float, ranges: Sequence[tuple[float, float]]) -> float | None:
    nearest = (min(max(offset, low), high) for low, high in ranges)
    return min(nearest, key=lambda at: abs(at - offset), default=None)


@dataclass(frozen=True, slots=True)
class _Room:
    """What takes up tube, all known [mm]: pairs are left and right; `taken` has the perches with their welds."""

    offset: float
    width: float
    centre: tuple[float, float]
    ends: tuple[float, float]
    taken: tuple[tuple[float, float], ...]
    names: tuple[str, ...]

    def shortfalls(self) -> Iterator[Shortfall]:
        """Every two parts that want the same tube."""
        left, right = self.width / 2.0 - self.ends[0], -self.width / 2.0 + self.ends[1]
        for name, (low, high) in zip(self.names, self.taken, strict=True):
            middle = min(self.offset + self.centre[0] - low, high - (self.offset - self.centre[1]))
            gaps: dict[Obstacle, float] = {
                "centre section": middle,
                "left end": high - left,
                "right end": right - low,
            }
            yield from (Shortfall(name, meets, "", by) for meets, by in gaps.items() if by > SUM)
        for by, one, other in self._overlaps():
            yield Shortfall(one, "perch", other, by)

    def _overlaps(self) -> Iterator[tuple[float, str, str]]:
        """Perches that overlap each other, which neither width nor offset can help."""
        for one, other in combinations(range(len(self.taken)), 2):
            by = min(self.taken[one][1], self.taken[other][1]) - max(self.taken[one][0], self.taken[other][0])
            if by > SUM:
                yield by, self.names[one], self.names[other]

    def is_free(self, offset: float) -> bool:
        """Whether the centre section meets no perch at an offset, and no perch another."""
        apart = all(offset <= low + SUM or offset >= high - SUM for low, high in self._forbidden())
        return apart and not any(True for _ in self._overlaps())

    def least_width(self, offset: float) -> float:
        """Width from which ends, perches and centre section do not meet at an offset."""
        left, right = self._takes()
        return 2.0 * max(left + offset, right - offset, *self._outer())

    def _takes(self) -> tuple[float, float]:
        """What each half takes at least, pinion's centreline to wheel mounting face."""
        left, right = (LEAST_SHOWING + middle + end for middle, end in zip(self.centre, self.ends, strict=True))
        return left, right

    def _outer(self) -> Iterator[float]:
        """Half widths from which the ends meet no perch."""
        for low, high in self.taken:
            yield high + self.ends[0]
            yield self.ends[1] - low

    def offsets(self) -> tuple[tuple[float, float], ...]:
        """Ranges of offsets that leave room at this width."""
        left, right = self._takes()
        low, high = right - self.width / 2.0, self.width / 2.0 - left
        edges = [low, high, *(edge for span in self._forbidden() for edge in span if low < edge < high)]
        edges.sort()
        free = [span for span in pairwise(edges) if self.is_free((span[0] + span[1]) / 2.0)]
        return tuple(span for span in _joined(free) if self.least_width(span[0]) <= self.width + SUM)

    def both(self) -> tuple[float, float] | None:
        """Least width at which some offset fits, and the nearest such offset."""
        left, right = self._takes()
        outer = max(self._outer(), default=(left + right) / 2.0)
        # Halves grow with the offset on one side and shrink on the other; the width is least between where they
        # take no more than the ends do, at the offset as it is, or where the centre section just clears a perch.
        candidates = [self.offset, (right - left) / 2.0, outer - left, right - outer]
        candidates += [edge for span in self._forbidden() for edge in span]
        free = [offset for offset in candidates if self.is_free(offset)]
        pairs = [(self.least_width(offset), offset) for offset in free]
        return min(pairs, key=lambda pair: (round(pair[0], 6), abs(pair[1] - self.offset)), default=None)

    def _forbidden(self) -> Iterable[tuple[float, float]]:
        """Offsets between which the centre section meets a perch."""
        return ((low - self.centre[0], high + self.centre[1]) for low, high in self.taken)


def _joined(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans in order, those that touch made one."""
    joined: list[tuple[float, float]] = []
    for low, high in spans:
        if joined and low <= joined[-1][1] + SUM:
            joined[-1] = (joined[-1][0], high)
        else:
            joined.append((low, high))
    return joined
