"""Every change of the rig: validated first, then one undo step with the rig before and after.

Rigs are frozen and share what they have in common, so keeping both costs next to nothing and undo is exact.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from msgspec.structs import replace
from PySide6.QtGui import QUndoCommand

from app.document import Document
from geometry.rig.axle import Axle
from geometry.rig.check import check_rig
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig
from geometry.rig.unconfirmed import carried, confirmed, unconfirmed_of
from geometry.rig.wheel import Tire, Wheel

NO_RUN: Final = -1
"""Qt's number for commands that never merge."""


class ReplaceRig(QUndoCommand):
    """One step from a rig to another; its text is what the menu shows.

    Steps with the same number of a run become one, which goes if the run came back to where it started.
    """

    def __init__(self, document: Document, before: Rig, after: Rig, text: str, run: int = NO_RUN) -> None:
        super().__init__(text)
        self._document = document
        self._before = before
        self.after = after
        self._run = run

    def id(self) -> int:
        """Number of the run that this step belongs to."""
        return self._run

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take the next step of the run in."""
        if not isinstance(other, ReplaceRig):
            return False
        self.after = other.after
        self.setObsolete(self.after == self._before)
        return True

    def redo(self) -> None:
        """Put the rig after the change."""
        self._document.put_rig(self.after)

    def undo(self) -> None:
        """Put the rig before the change."""
        self._document.put_rig(self._before)


class Gesture:
    """A change under way: `preview` moves the picture and the answers, `commit` makes one undo step of it.

    It ends with `commit` or `cancel`, or when the rig is changed from elsewhere (undo with the button held); what
    is called on it afterwards does nothing.

    Attributes
    ----------
    active : bool

    """

    def __init__(self, document: Document, text: str) -> None:
        self._document = document
        self._text = text
        self._base = document.rig
        self._shown = document.rig
        self._ended = False

    @property
    def base(self) -> Rig:
        """The rig that the gesture started from."""
        return self._base

    @property
    def active(self) -> bool:
        """Whether the gesture is still under way and nobody else changed or previewed a rig meanwhile."""
        return not self._ended and self._document.rig is self._base and self._document.shown_rig is self._shown

    def preview(self, rig: Rig) -> None:
        """Show `rig`; raises RigError and shows nothing new when it cannot be used."""
        if not self.active:
            return
        rig = carried(self._base, rig)
        check_rig(rig)
        self._shown = rig
        self._document.show_preview(rig)

    def commit(self, run: int = NO_RUN) -> None:
        """End the gesture with one undo step, or none when it came back to where it started; one step for a run."""
        if self.active:
            if self._shown == self._base:
                self._document.drop_preview()
            else:
                self._document.undo_stack.push(ReplaceRig(self._document, self._base, self._shown, self._text, run))
        self._ended = True

    def cancel(self) -> None:
        """End the gesture and show the rig that it started from."""
        if self.active:
            self._document.drop_preview()
        self._ended = True


def change_rig(document: Document, rig: Rig, text: str) -> None:
    """Make `rig` the document's, as one undo step called `text`; nothing when it is equal.

    What it changes counts as confirmed.

    Raises
    ------
    RigError
        With place and remedy when the rig cannot be used; nothing is changed then.

    """
    rig = carried(document.rig, rig)
    if rig == document.rig:
        return
    check_rig(rig)
    document.undo_stack.push(ReplaceRig(document, document.rig, rig, text))


def confirm(document: Document, places: Iterable[str], text: str) -> None:
    """Take the values at some places as the builder's own, as one undo step called `text`."""
    change_rig(document, confirmed(document.rig, places), text)


def confirm_parts(document: Document, parts: Iterable[PartRef], text: str = "Confirm chosen parts") -> None:
    """Take all values of some parts, of their nodes, joints and links as the builder's own, as one undo step."""
    confirm(document, unconfirmed_of(document.rig, parts), text)


def confirm_all(document: Document) -> None:
    """Take all values as the builder's own, as one undo step."""
    confirm(document, document.rig.unconfirmed, "Confirm all values")


def with_axle(rig: Rig, axle_id: str, **changes: Any) -> Rig:
    """The rig with some fields of one axle changed; KeyError when there is no axle of that id."""
    rig.axle(axle_id)
    return replace(rig, axles=tuple(replace(axle, **changes) if axle.id == axle_id else axle for axle in rig.axles))


def axle_words(axle: Axle) -> str:
    """The axle as it stands inside a sentence: “rear axle”."""
    name = axle.name or axle.id
    return name if name[:2].isupper() else name[:1].lower() + name[1:]


def width_text(rig: Rig, axle_id: str) -> str:
    """What the menu calls a change of width, for commands and gestures alike."""
    return f"Change {axle_words(rig.axle(axle_id))} width"


def set_width(document: Document, axle_id: str, width: float) -> None:
    """Change the wheel-mount width of an axle [mm]; raises RigError as `change_rig`."""
    change_rig(document, with_axle(document.rig, axle_id, width=width), width_text(document.rig, axle_id))


def set_trials(document: Document, axle_id: str, widths: Iterable[float]) -> None:
    """Change the widths on an axle's trial list [mm]; each is kept once, by size. Raises RigError as `change_rig`."""
    kept = tuple(sorted(set(widths)))
    text = f"Change {axle_words(document.rig.axle(axle_id))} trial list"
    change_rig(document, with_axle(document.rig, axle_id, trial_widths=kept), text)


def set_tire(document: Document, axle_id: str, tire: Tire) -> None:
    """Change the tires of an axle; raises RigError as `change_rig`."""
    _change_axle(document, axle_id, "tire", tire=tire)


def set_wheel(document: Document, axle_id: str, wheel: Wheel) -> None:
    """Change the wheels of an axle; raises RigError as `change_rig`."""
    _change_axle(document, axle_id, "wheel", wheel=wheel)


def set_travel(
    document: Document,
    axle_id: str,
    *,
    bump: float | None = None,
    droop: float | None = None,
    stop_station: float | None = None,
) -> None:
    """Change bump, droop or stop station of an axle [mm], None = as it is; raises RigError as `change_rig`."""
    given = {"bump": bump, "droop": droop, "stop_station": stop_station}
    _change_axle(document, axle_id, "travel", **{name: value for name, value in given.items() if value is not None})


def set_lock(document: Document, axle_id: str, *, left_deg: float, right_deg: float) -> None:
    """Change the steering lock of a steered axle [degrees].

    Raises
    ------
    RigError
        As `change_rig`.
    ValueError
        When the axle is not steered.

    """
    steering = document.rig.axle(axle_id).steering
    if steering is None:
        raise ValueError(f"axle {axle_id} is not steered and has no lock")
    changed = replace(steering, lock_left_deg=left_deg, lock_right_deg=right_deg)
    _change_axle(document, axle_id, "steering lock", steering=changed)


def set_wanted(document: Document, **clearances: float) -> None:
    """Change wanted clearances, by kind of pair [mm]: ``set_wanted(document, tire_bar=19.05)``; RigError as above."""
    rig = document.rig
    change_rig(document, replace(rig, wanted=replace(rig.wanted, **clearances)), "Change wanted clearance")


def _change_axle(document: Document, axle_id: str, what: str, **changes: Any) -> None:
    words = axle_words(document.rig.axle(axle_id))
    change_rig(document, with_axle(document.rig, axle_id, **changes), f"Change {words} {what}")
