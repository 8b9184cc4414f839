"""Whatever is done to a rig, and in whatever order: undo brings back the start, redo the end, byte for byte."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from typing import Final, TypeVar

import numpy as np
import pytest

from app.document import Document
from app.edits import Gesture, change_rig
from app.files.rig_file import rig_to_bytes
from app.units import LengthUnit
from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.naming import housing_part, joint_part, link_part, node_part, tire_part
from geometry.rig.parts import Point
from geometry.rig.rig import Rig
from geometry.sketch.bars import extended, extended_to, joined, split, with_bar, with_bend
from geometry.sketch.copies import copied, mirrored
from geometry.sketch.lookup import part_of, points_of
from geometry.sketch.moves import lifted, moved, placed
from geometry.sketch.names import renamed
from geometry.sketch.panels import with_fitted, with_panel
from geometry.sketch.removal import without
from tests.laws.random_rigs import varied_rig

OPERATIONS: Final = int(os.environ.get("WHEELROOM_EDITS", "1000"))
"""Length of the sequence; the whole law is about 10,000: ``WHEELROOM_EDITS=10000 pytest tests/laws -k edit``."""

MOST_BARS: Final = 60
"""Bars beyond which more is removed than drawn."""

Thing = TypeVar("Thing")


class Builder:
    """Somebody who does one thing after the other to a rig, at random, with a hand that errs at times."""

    def __init__(self, rig: Rig, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.document = Document(rig, unit=LengthUnit.MM)
        self.stack = self.document.undo_stack
        self.rigs = [rig]
        self.done: Counter[str] = Counter()
        self.refused: Counter[str] = Counter()

    def act(self) -> None:
        """One edit, gesture, or a few steps back; what is refused must leave everything as it is."""
        before = self.document.rig
        name = self.one_of([*EDITS, "drag", "drag", "back"])
        if len(before.bars) > MOST_BARS and name in {"draw", "copy", "mirror", "split"}:
            name = "remove"
        try:
            if name == "drag":
                self.drag()
            elif name == "back":
                self.back()
            else:
                change_rig(self.document, EDITS[name](before, self), name)
            self.done[name] += 1
        except RigError:
            self.refused[name] += 1
            assert self.document.rig is before
        assert not self.document.is_previewing
        index = self.stack.index()
        if index == len(self.rigs) or self.document.rig is not self.rigs[index]:
            self.rigs[index:] = [self.document.rig]

    def drag(self) -> None:
        """Moves of one gesture, of which some are refused, and its end by button, by Esc or by undo."""
        gesture, base = Gesture(self.document, "drag"), self.document.rig
        parts, by = self.parts(base), self.offset()
        for share in (0.3, 0.7, 1.0):
            try:
                gesture.preview(moved(base, parts, (by[0] * share, by[1] * share, by[2] * share)))
            except RigError:
                continue
        end = self.rng.random()
        if end < 0.2:
            gesture.cancel()
            assert self.document.rig is base
        elif end < 0.25 and self.stack.canUndo():
            self.stack.undo()
        gesture.commit()

    def back(self) -> None:
        for _ in range(int(self.rng.integers(1, 4))):
            self.stack.undo()
        if self.rng.random() < 0.5:
            self.stack.redo()

    def one_of(self, things: list[Thing]) -> Thing:
        """One of several; RigError when there is none, as when somebody points at nothing."""
        if not things:
            raise RigError("", "there is nothing of that kind; choose something else")
        return things[int(self.rng.integers(len(things)))]

    def offset(self) -> Point:
        x, y, z = (self.rng.normal(0.0, 20.0, 3) * (self.rng.random(3) < 0.7)).round(int(self.rng.integers(0, 5)))
        return (float(x), float(y), float(z))

    def point(self, rig: Rig) -> Point:
        """Mostly at a node or its image, else anywhere."""
        if rig.nodes and self.rng.random() < 0.6:
            return self.place(rig, self.ref(rig))
        x, y, z = self.rng.uniform((-500.0, -800.0, 300.0), (3500.0, 800.0, 1800.0)).round(2)
        return (float(x), 0.0 if self.rng.random() < 0.1 else float(y), float(z))

    def ref(self, rig: Rig) -> str:
        return self.one_of([node.id for node in rig.nodes]) + self.one_of(["", "'"])

    def place(self, rig: Rig, ref: str) -> Point:
        (point,) = points_of(rig, [ref])
        return point

    def bar(self, rig: Rig) -> str:
        return self.one_of([bar.id for bar in rig.bars])

    def part(self, rig: Rig) -> PartRef:
        kind = self.one_of(["node", "node", "bar", "bar", "panel", "link", "joint", "tire", "housing"])
        axle = self.one_of(list(rig.axles))
        rod = self.one_of(list(axle.rods))
        if kind == "node":
            return node_part(self.one_of(list(rig.nodes)), image=self.rng.random() < 0.3)
        if kind in {"bar", "panel"}:
            one = self.one_of(list(rig.bars if kind == "bar" else rig.panels))
            return part_of(rig, one, image=one.mirrored and self.rng.random() < 0.5)
        on_axle = {
            "link": link_part(axle, rod),
            "joint": joint_part(axle, rod, self.one_of(["chassis", "axle"])),
            "tire": tire_part(axle, self.one_of(["left", "right"])),
        }
        return on_axle.get(kind, housing_part(axle))

    def parts(self, rig: Rig) -> list[PartRef]:
        return [self.part(rig) for _ in range(int(self.rng.integers(1, 4)))]

    def flag(self) -> bool:
        return bool(self.rng.random() < 0.5)


def drawn(rig: Rig, by: Builder) -> Rig:
    points = [by.point(rig) for _ in range(int(by.rng.integers(2, 5)))]
    return with_bar(rig, points, od=38.1, wall=2.4, bend_radius=by.one_of([0.0, 0.0, 60.0]), mirrored=by.flag())[0]


def panelled(rig: Rig, by: Builder) -> Rig:
    refs = [by.ref(rig) for _ in range(int(by.rng.integers(3, 5)))]
    return with_panel(rig, refs, mirrored=by.flag())[0]


def cut(rig: Rig, by: Builder) -> Rig:
    bar = by.one_of(list(rig.bars))
    at = by.one_of(list(bar.nodes))
    corner, away = by.place(rig, at), by.place(rig, by.one_of(list(bar.nodes)))
    x, y, z = np.add(np.multiply(corner, 0.4), np.multiply(away, 0.6)).tolist()
    return split(rig, bar.id, (x, y, z))[0]


def rejoined(rig: Rig, by: Builder) -> Rig:
    """Two bars that share a node, mostly; the wrong ones now and then."""
    first = by.one_of(list(rig.bars))
    ends = {first.nodes[0], first.nodes[-1]}
    near = [bar.id for bar in rig.bars if bar is not first and ends & {bar.nodes[0], bar.nodes[-1]}]
    return joined(rig, first.id, by.one_of(near or [first.id]))


def shortened(rig: Rig, by: Builder) -> Rig:
    return extended(rig, by.bar(rig), by.one_of([0, -1]), round(float(by.rng.normal(0.0, 80.0)), 1))


def met(rig: Rig, by: Builder) -> Rig:
    """To the first of some bars that the straight meets, since most pass each other by."""
    bar, end = by.bar(rig), by.one_of([0, -1])
    for _ in range(10):
        with suppress(RigError):
            return extended_to(rig, bar, end, by.bar(rig))
    return extended_to(rig, bar, end, by.bar(rig))


def taken(rig: Rig, by: Builder) -> Rig:
    return without(rig, by.parts(rig), nodes_too=by.flag())


EDITS: Final[dict[str, Callable[[Rig, Builder], Rig]]] = {
    "draw": drawn,
    "panel": panelled,
    "fit": lambda rig, by: with_fitted(rig, by.one_of(list(rig.panels)).id, fitted=by.flag()),
    "split": cut,
    "join": rejoined,
    "extend": shortened,
    "extend to": met,
    "bend": lambda rig, by: with_bend(rig, by.bar(rig), by.one_of([0.0, 57.15, 120.0])),
    "move": lambda rig, by: moved(rig, by.parts(rig), by.offset(), both_sides=by.flag(), off_centre=by.flag()),
    "place": lambda rig, by: placed(rig, by.part(rig), by.point(rig)),
    "lift": lambda rig, by: lifted(rig, float(by.rng.normal(0.0, 5.0))),
    "mirror": lambda rig, by: mirrored(rig, by.parts(rig), own=by.flag())[0],
    "copy": lambda rig, by: copied(rig, by.parts(rig), by.offset(), count=int(by.rng.integers(1, 3)))[0],
    "remove": taken,
    "rename": lambda rig, by: renamed(rig, by.part(rig), f"x{by.rng.integers(10**6)}"),
}


@pytest.mark.usefixtures("qapp")
def test_undo_of_any_sequence_of_edits_gives_the_start_and_redo_the_end() -> None:
    builder = Builder(varied_rig(1), seed=4)
    start = rig_to_bytes(builder.document.rig)
    for _ in range(OPERATIONS):
        builder.act()
    while builder.stack.canRedo():
        builder.stack.redo()
    end = rig_to_bytes(builder.document.rig)
    for index in reversed(range(builder.stack.count())):
        builder.stack.undo()
        assert builder.document.rig is builder.rigs[index]
    assert rig_to_bytes(builder.document.rig) == start
    for index in range(builder.stack.count()):
        builder.stack.redo()
        assert builder.document.rig is builder.rigs[index + 1]
    assert rig_to_bytes(builder.document.rig) == end
    assert len(builder.rigs) == builder.stack.count() + 1 > OPERATIONS / 4
    assert {name for name, times in builder.done.items() if times >= OPERATIONS / 200} == {*EDITS, "drag", "back"}
