"""The open design and everything that windows show about it: rig, poses, selection, unit and latest answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import radians
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.files.pictures import carry
from app.files.rig_file import read_rig, write_rig
from app.study import AxleAnswer, Study, bare
from app.units import LengthUnit
from geometry.contact.findings import PairName, TravelMap, WidthCurve
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef
from geometry.rig.naming import link_part
from geometry.rig.rig import Rig
from geometry.stroke.ends import nearest, reach_of

if TYPE_CHECKING:
    from geometry.contact.free_lock import FreeLock

TrialAnswer = AxleAnswer | str
"""The check of an axle at a width, or one sentence why there is none."""

Selection = PartRef | PairName | None
"""What is chosen: one part, one pair of parts, or nothing."""


class Document(QObject):
    """One rig with its undo stack, and the state of the views on it.

    The rig changes only through commands of `app.edits`. While a gesture is under way `shown_rig` is its preview;
    pictures and searches follow `shown_rig`, the file and the undo stack hold `rig`.

    Attributes
    ----------
    rig, shown_rig : Rig
    revision : int
        Rises with every change of `shown_rig`, undo included, over the whole life of the document.
    undo_stack : QUndoStack
        Its clean state is the saved state.

    Signals
    -------
    rig_changed
        `shown_rig` and `revision` are new. Also follows `rig_replaced`.
    rig_replaced
        Another rig was opened: poses, selection, answers and undo steps are gone.
    pose_changed(axle_id), active_axle_changed, selection_changed, unit_changed, path_changed
    study_finished
        `last_study` is new.
    curve_finished(axle_id), travel_map_finished(axle_id), trial_finished(axle_id), free_lock_finished(axle_id)
    free_lock_asked
        A panel wants the free lock of what is shown now.

    """

    rig_changed = Signal()
    rig_replaced = Signal()
    pose_changed = Signal(str)
    active_axle_changed = Signal()
    selection_changed = Signal()
    unit_changed = Signal()
    path_changed = Signal()
    study_finished = Signal()
    curve_finished = Signal(str)
    travel_map_finished = Signal(str)
    trial_finished = Signal(str)
    free_lock_finished = Signal(str)
    free_lock_asked = Signal()

    def __init__(self, rig: Rig, *, unit: LengthUnit, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.undo_stack = QUndoStack(self)
        self._rig = rig
        self._preview: Rig | None = None
        self._revision = 1
        self._first_revision = 1
        self._path: Path | None = None
        self._unit = unit
        self._poses: dict[str, TravelPose] = {}
        self._active_axle = rig.axles[0].id
        self._others: tuple[PartRef, ...] = ()
        self._selection: Selection = None
        self._study: Study | None = None
        self._curves: dict[str, tuple[Rig, WidthCurve]] = {}
        self._maps: dict[str, tuple[int, TravelMap]] = {}
        self._trials: dict[str, tuple[Rig, dict[float, TrialAnswer]]] = {}
        self._locks: dict[str, tuple[int, FreeLock]] = {}
        self._lock_asked = (0, "")

    # The rig

    @property
    def rig(self) -> Rig:
        """The rig as last committed: what is saved and undone."""
        return self._rig

    @property
    def shown_rig(self) -> Rig:
        """The rig to draw and to search: the preview while a gesture is under way, else `rig`."""
        return self._rig if self._preview is None else self._preview

    @property
    def revision(self) -> int:
        """Number of `shown_rig`."""
        return self._revision

    @property
    def is_previewing(self) -> bool:
        """Whether `shown_rig` is a preview that nobody has committed."""
        return self._preview is not None

    def put_rig(self, rig: Rig) -> None:
        """Make `rig` the committed one and end any preview. For commands only: everything else goes through them."""
        shown = self.shown_rig
        self._rig, self._preview = rig, None
        self._note_shown(shown)

    def show_preview(self, rig: Rig) -> None:
        """Show `rig` in place of the committed one until `put_rig` or `drop_preview`."""
        shown = self.shown_rig
        self._preview = rig
        self._note_shown(shown)

    def drop_preview(self) -> None:
        """Show the committed rig again."""
        shown = self.shown_rig
        self._preview = None
        self._note_shown(shown)

    def _note_shown(self, before: Rig) -> None:
        if self.shown_rig != before:
            self._revision += 1
            self._keep_active_axle()
            self.rig_changed.emit()

    # Opening and saving

    @property
    def path(self) -> Path | None:
        """The rig's file; None = never saved."""
        return self._path

    @property
    def is_modified(self) -> bool:
        """Whether there are changes that the file does not hold."""
        return not self.undo_stack.isClean()

    def replace_rig(self, rig: Rig, path: Path | None = None) -> None:
        """Start over with another rig, whose file is `path`."""
        self._rig, self._preview, self._path = rig, None, path
        self._revision += 1
        self._first_revision = self._revision
        self._poses, self._others, self._selection, self._study = {}, (), None, None
        self._curves, self._maps, self._trials, self._locks = {}, {}, {}, {}
        self._active_axle = rig.axles[0].id
        self.undo_stack.clear()
        for signal in (self.rig_replaced, self.rig_changed, self.path_changed, self.active_axle_changed):
            signal.emit()
        self.selection_changed.emit()

    def open(self, path: Path) -> None:
        """Read a rig file and start over with it; whatever `read_rig` raises leaves the open rig as it is."""
        self.replace_rig(read_rig(path), path)

    def save(self, path: Path | None = None) -> None:
        """Write the committed rig to `path`, or to its own file.

        Raises
        ------
        ValueError
            When the rig has no file yet and none is given.
        OSError
            When it cannot be written; the document stays modified.

        """
        target = path or self._path
        if target is None:
            raise ValueError("the rig has no file yet; give a path")
        carry(self._path, target, self._rig.underlays)
        write_rig(target, self._rig, keep_previous=True)
        self._path = target
        self.undo_stack.setClean()
        self.path_changed.emit()

    # State of the views: not undone, not saved

    @property
    def unit(self) -> LengthUnit:
        """Unit in which lengths are shown and entered."""
        return self._unit

    def set_unit(self, unit: LengthUnit) -> None:
        """Show lengths in another unit."""
        if unit is not self._unit:
            self._unit = unit
            self.unit_changed.emit()

    @property
    def active_axle(self) -> str:
        """Id of the axle that width strip, travel pad and front view are about."""
        return self._active_axle

    def set_active_axle(self, axle_id: str) -> None:
        """Make another axle the one that is looked at; KeyError when there is none of that id."""
        self.shown_rig.axle(axle_id)
        if axle_id != self._active_axle:
            self._active_axle = axle_id
            self.active_axle_changed.emit()

    def _keep_active_axle(self) -> None:
        if all(axle.id != self._active_axle for axle in self.shown_rig.axles):
            self._active_axle = self.shown_rig.axles[0].id
            self.active_axle_changed.emit()

    def pose(self, axle_id: str) -> TravelPose:
        """The displayed pose of an axle, within the travel and lock that it has now."""
        shown = within_travel if self._preview is None else within_box  # what a gesture moves may move limits as well
        return shown(self._poses.get(axle_id, RIDE_HEIGHT), self.shown_rig.axle(axle_id))

    def set_pose(self, axle_id: str, pose: TravelPose) -> None:
        """Display an axle in another pose, cut down to its travel and lock."""
        before = self.pose(axle_id)
        self._poses[axle_id] = within_travel(pose, self.shown_rig.axle(axle_id))
        if self._poses[axle_id] != before:
            self.pose_changed.emit(axle_id)

    @property
    def selection(self) -> Selection:
        """The chosen part or pair."""
        return self._selection

    @property
    def chosen(self) -> tuple[PartRef, ...]:
        """All chosen parts, in the order in which they were chosen; `selection` is the last. Empty for a pair."""
        return (*self._others, self._selection) if isinstance(self._selection, PartRef) else ()

    def choose(self, parts: Iterable[PartRef]) -> None:
        """Choose several parts, or none; the last one counts as the selection."""
        *others, last = dict.fromkeys(parts) or [None]
        self._choose(tuple(part for part in others if part is not None), last)

    def toggle(self, part: PartRef) -> None:
        """Add a part to what is chosen, or take it out."""
        chosen = self.chosen
        self.choose([one for one in chosen if one != part] if part in chosen else [*chosen, part])

    def select(self, selection: Selection) -> None:
        """Choose one part or pair, or nothing; the axle that it belongs to becomes the active one."""
        self._choose((), selection)

    def _choose(self, others: tuple[PartRef, ...], selection: Selection) -> None:
        axle = axle_of(self.shown_rig, selection)
        if axle is not None:
            self.set_active_axle(axle.id)
        if (others, selection) != (self._others, self._selection):
            self._others, self._selection = others, selection
            self.selection_changed.emit()

    # Answers

    @property
    def study(self) -> Study | None:
        """The answer for what is shown now; None while there is none."""
        return self._study if self._study is not None and self._study.revision == self._revision else None

    @property
    def last_study(self) -> Study | None:
        """The last answer that came, perhaps of an earlier revision: to be shown only as such."""
        return self._study

    def take_study(self, study: Study) -> bool:
        """Take an answer; False when it is stale and was dropped.

        While a gesture runs ahead of the search, answers about its previous steps are taken as they come, so that
        the verdict can follow the drag; none ever replaces a newer one, and `study` stays None until the last came.
        """
        newest = self._study.revision if self._study is not None else self._first_revision - 1
        follows = self.is_previewing and study.revision > newest
        if study.revision != self._revision and not follows:
            return False
        self._study = study
        self.study_finished.emit()
        return True

    def width_curve(self, axle_id: str) -> WidthCurve | None:
        """The width curve of an axle if nothing but that axle's width changed since; else None."""
        basis, curve = self._curves.get(axle_id, (None, None))
        return curve if basis is not None and _same_but_width(basis, self.shown_rig, axle_id) else None

    def take_curve(self, rig: Rig, curve: WidthCurve) -> bool:
        """Take a width curve that was made from `rig`; False when it is stale and was dropped."""
        if not _same_but_width(rig, self.shown_rig, curve.axle):
            return False
        self._curves[curve.axle] = (rig, curve)
        self.curve_finished.emit(curve.axle)
        return True

    def travel_map(self, axle_id: str) -> TravelMap | None:
        """The travel map of an axle for what is shown now; None while there is none."""
        revision, travel_map = self._maps.get(axle_id, (0, None))
        return travel_map if revision == self._revision else None

    def take_travel_map(self, revision: int, travel_map: TravelMap) -> bool:
        """Take a travel map of a revision; False when it is stale and was dropped."""
        if revision != self._revision:
            return False
        self._maps[travel_map.axle] = (revision, travel_map)
        self.travel_map_finished.emit(travel_map.axle)
        return True

    def free_lock(self, axle_id: str) -> FreeLock | None:
        """The free lock of an axle for what is shown now; None while there is none."""
        revision, found = self._locks.get(axle_id, (0, None))
        return found if revision == self._revision else None

    def ask_free_lock(self, axle_id: str) -> None:
        """Have the free lock of an axle searched for what is shown now."""
        if self._lock_asked != (self._revision, axle_id):
            self._lock_asked = (self._revision, axle_id)
            self.free_lock_asked.emit()

    def wants_free_lock(self, axle_id: str) -> bool:
        """Whether it was asked for, and is not there."""
        return self._lock_asked == (self._revision, axle_id) and self.free_lock(axle_id) is None

    def take_free_lock(self, revision: int, found: FreeLock) -> bool:
        """Take the free lock of a revision; False when it is stale and was dropped."""
        if revision != self._revision:
            return False
        self._locks[found.axle] = (revision, found)
        self.free_lock_finished.emit(found.axle)
        return True

    def trials(self, axle_id: str) -> Mapping[float, TrialAnswer]:
        """Checks of an axle at other widths [mm] that hold for what is shown now."""
        basis, found = self._trials.get(axle_id, (None, {}))
        return found if basis is not None and _same_but_width(basis, self.shown_rig, axle_id) else {}

    def take_trial(self, rig: Rig, axle_id: str, width: float, answer: TrialAnswer) -> bool:
        """Take the check of an axle at a width [mm] that was made for `rig`; False when it is stale and was dropped."""
        if not _same_but_width(rig, self.shown_rig, axle_id):
            return False
        self._trials[axle_id] = (rig, {**self.trials(axle_id), width: answer})
        self.trial_finished.emit(axle_id)
        return True


def axle_of(rig: Rig, selection: Selection) -> Axle | None:
    """The axle that carries what is chosen, of a pair what moves; None for the chassis and for nothing."""
    part = selection.moving if isinstance(selection, PairName) else selection
    if part is None or part.kind in {"bar", "panel", "node"}:
        return None
    ends = ("", ".chassis", ".axle")
    for axle in rig.axles:
        links = {link_part(axle, rod).id + end for rod in axle.rods for end in ends}
        hung = {f"{axle.id}.{one.id}" for some in (axle.shocks, axle.bump_stops, axle.straps) for one in some}
        if part.id in {axle.id, *links, *hung}:
            return axle
    return None


def within_travel(pose: TravelPose, axle: Axle) -> TravelPose:
    """The pose cut down to the lock of an axle and to the travel that its shocks, stops and straps leave."""
    inside = within_box(pose, axle)
    left, right = nearest(reach_of(axle), inside.left, inside.right)
    return TravelPose(left, right, inside.steer)


def within_box(pose: TravelPose, axle: Axle) -> TravelPose:
    """The pose cut down to the lock, bump and droop of an axle."""
    lock_left, lock_right = locks(axle)
    return TravelPose(
        left=min(max(pose.left, -axle.droop), axle.bump),
        right=min(max(pose.right, -axle.droop), axle.bump),
        steer=min(max(pose.steer, -lock_right), lock_left),
    )


def locks(axle: Axle) -> tuple[float, float]:
    """Turn to full lock, left and right, both positive [rad]; zero on an unsteered axle."""
    if axle.steering is None:
        return (0.0, 0.0)
    return (radians(axle.steering.lock_left_deg), radians(axle.steering.lock_right_deg))


def _same_but_width(one: Rig, other: Rig, axle_id: str) -> bool:
    """Whether two rigs differ in nothing but one axle's width and in what no search asks."""

    def leveled(rig: Rig) -> Rig:
        axles = (replace(bare(axle), width=1.0 if axle.id == axle_id else axle.width) for axle in rig.axles)
        return replace(rig, axles=tuple(axles), masses=None, rules=None, unconfirmed=())

    return one is other or leveled(one) == leveled(other)
