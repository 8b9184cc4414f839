"""The drawing of the document as it is now, made once for all views."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.canvas.handles import Handle, node_handles
from app.canvas.scene import Chassis, Drawing, chassis_of, drawing_of, worth_marking
from app.canvas.underlays import Underlays
from app.document import Document
from geometry.contact.findings import Approach
from geometry.rig.rig import Rig


class LiveDrawing(QObject):
    """Keeps the drawing up with the document.

    Signals
    -------
    changed
        `drawing` is new.

    """

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.underlays = Underlays(document, self)
        self.underlays.changed.connect(self.changed)
        self._drawing: Drawing | None = None
        self._chassis: Chassis | None = None
        self._chassis_rig: Rig | None = None
        self._nodes: tuple[Chassis, tuple[Handle, ...]] | None = None
        self._telling: tuple[Approach, ...] = ()
        for signal in (document.study_finished, document.selection_changed, document.rig_replaced):
            signal.connect(self._choose)
        for signal in (
            document.rig_replaced,
            document.rig_changed,
            document.pose_changed,
            document.active_axle_changed,
            document.selection_changed,
            document.unit_changed,
            document.study_finished,
        ):
            signal.connect(self._drop)
        self._choose()

    @property
    def drawing(self) -> Drawing:
        """The drawing of what is shown now; made when it is first asked for."""
        if self._drawing is None:
            self._drawing = self._make()
        return self._drawing

    @property
    def nodes(self) -> tuple[Handle, ...]:
        """The nodes of the chassis that is shown now, as points to take hold of."""
        chassis = self.drawing.chassis
        if self._nodes is None or self._nodes[0] is not chassis:
            self._nodes = (chassis, node_handles(self.document.shown_rig))
        return self._nodes[1]

    def _make(self) -> Drawing:
        document = self.document
        rig = document.shown_rig
        return drawing_of(
            rig,
            {axle.id: document.pose(axle.id) for axle in rig.axles},
            approaches=self._telling,
            approaches_current=document.study is not None,
            selection=document.selection,
            chosen=document.chosen,
            active_axle=document.active_axle,
            unit=document.unit,
            chassis=self._chassis_for(rig),
        )

    def _choose(self) -> None:
        """Choose the places to mark: among thousands, so not anew for every pose."""
        study = self.document.last_study
        self._telling = worth_marking(study.approaches, self.document.selection) if study is not None else ()

    def _chassis_for(self, rig: Rig) -> Chassis:
        """The chassis, made anew only when its parts changed: a drag of the width leaves them alone."""
        known = self._chassis_rig
        same = known is not None and (known.nodes, known.bars, known.panels) == (rig.nodes, rig.bars, rig.panels)
        if self._chassis is None or not same:
            self._chassis = chassis_of(rig)
        self._chassis_rig = rig
        return self._chassis

    def _drop(self) -> None:
        self._drawing = None
        self.changed.emit()
