"""The clearance report as a PDF."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from functools import partial
from importlib.metadata import PackageNotFoundError, version
from os import environ
from pathlib import Path
from typing import Final

import msgspec
from PySide6.QtCore import QRectF, QUuid
from PySide6.QtGui import QGuiApplication, QPainter, QPalette

from app.canvas.scene import Drawing, drawing_of
from app.files.saving import save_bytes
from app.measured_table import TITLES, measured_rows
from app.panels.symbols import draw_verdict
from app.panels.width_picture import WidthScene
from app.report.content import (
    CAUTIONS,
    CLOSEST_COLUMNS,
    axle_name,
    axle_rows,
    bound_sentences,
    chassis_words,
    closest_rows,
    coverage_words,
    input_rows,
    method_sentences,
    telling_poses,
    telling_words,
    wanted_words,
    window_words,
)
from app.report.curve_picture import PaperCurve
from app.report.drawings import drawing_scale, paint_drawing
from app.report.sheet import A4, LETTER, SMALL, WRAP, Column, Letterhead, Sheet, face, text_height
from app.study import Study
from app.theme import LIGHT
from app.typeset import typeset
from app.units import LengthUnit
from app.width_rules import KnownRules, headline
from app.wording import built_sentence, pair_words, pose_words
from geometry.contact.findings import Approach, WidthCurve
from geometry.motion.travel import TravelPose
from geometry.outline.view import FRONT, SIDE, TOP, View
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

KIND: Final = "Clearance report"
NAMESPACE: Final = QUuid("{6f0f3c1e-6f0b-4d51-9c38-6d6d0a7c1f52}")
"""Our own, so that equal reports carry equal document ids."""
CURVE: Final = 228.0
"""Height of a width curve [points]: two go on a page."""
POSE: Final = 210.0
"""Height of the drawings at a further pose, caption included [points]: three go on a page."""
TABLE: Final = 150.0
"""Room in which a table may begin [points]; with less it starts on the next page."""
LEAST_SIDE: Final = 240.0
"""Least height of the side view [points]; it goes to the next page when the first has not that much left."""
CAPTION: Final = 34.0
"""Least room for a drawing's caption [points]."""
SCALE_WORDS: Final = "{view}, 1 : {scale} when printed at full size."
CAUTIONS_ROOM: Final = 104.0
"""Room for the cautions on the first page [points]."""


def write_pdf(
    path: Path,
    study: Study,
    curves: tuple[WidthCurve, ...],
    unit: LengthUnit,
    *,
    rig_file: str = "",
    when: datetime | None = None,
) -> None:
    """Write the clearance report; the file appears whole or not at all.

    Parameters
    ----------
    curves : tuple of WidthCurve
        Of the axles for which one was drawn; an axle without one has its window shown as not established.
    rig_file : str
        Name of the rig file as it stands in the foot of the pages.
    when : datetime
        Date that is printed; now, if left out.

    Raises
    ------
    FileSaveError
        When it cannot be written; what stood there is as it was.

    """
    _app = QGuiApplication.instance() or QGuiApplication(["wheelroom", "-platform", "offscreen"])
    report = _Report(study, curves, unit, letterhead(study.rig, KIND, unit, rig_file, when))
    _, pages = report.fill(pages=0)
    whole, _ = report.fill(pages)
    save_bytes(path, whole)


def letterhead(rig: Rig, kind: str, unit: LengthUnit, rig_file: str, when: datetime | None) -> Letterhead:
    """Head and foot of the pages of a kind of paper."""
    foot = [rig_file] if rig_file else []
    when = when or _today()
    foot += [f"{when:%Y-%m-%d %H:%M}", f"Wheelroom {_version()}", f"lengths in {unit.words}"]
    return Letterhead(rig.name, kind, "  ·  ".join(foot), when)


def _today() -> datetime:
    """Now, or the date that the variable for reproducible files asks for (SOURCE_DATE_EPOCH, seconds in UTC)."""
    seconds = environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.fromtimestamp(int(seconds), UTC) if seconds.isdecimal() else datetime.now().astimezone()


def _version() -> str:
    try:
        return version("wheelroom")
    except PackageNotFoundError:
        return "of unknown version"


class _Report:
    """One report, filled once to count its pages and once for good."""

    def __init__(self, study: Study, curves: tuple[WidthCurve, ...], unit: LengthUnit, head: Letterhead) -> None:
        self.study = study
        self.curves = curves
        self.unit = unit
        self.head = head
        self.uid = QUuid.createUuidV5(NAMESPACE, msgspec.json.encode(study.rig) + str(unit).encode())

    def fill(self, pages: int) -> tuple[bytes, int]:
        """All pages as a PDF that says there are `pages`, and how many there are."""
        paper = A4 if self.unit is LengthUnit.MM else LETTER
        self.sheet = Sheet(paper, self.head, pages, self.uid)
        try:
            self._verdict()
            self._drawings()
            self._measured()
            self._closest()
            self._widths()
            self._inputs()
            self._method()
        finally:
            pdf = self.sheet.end()
        return pdf, self.sheet.page

    def _verdict(self) -> None:
        sheet, study = self.sheet, self.study
        sentence, font = headline(study, KnownRules(), self.unit), face(17, bold=True)
        height = max(34.0, text_height(sentence, font, sheet.body.width() - 48.0))
        draw_verdict(sheet.painter, QRectF(sheet.body.left(), sheet.y + 2.0, 34.0, 34.0), study.overall, LIGHT)
        top = sheet.y
        sheet.words(sentence, font, indent=48.0)
        sheet.y = max(sheet.y, top + height) + 4.0
        titles = ("Axle", "Wheel-mount width", "Track", "Outer width", "Closest approach", "Widths that clear")
        shares = (1.0, 1.05, 0.95, 0.95, 2.2, 1.6)
        sheet.table(list(map(Column, titles, shares)), axle_rows(study, self.curves, self.unit))

    def _drawings(self) -> None:
        worst = dict(self._worst())
        poses = {axle: found.pose for axle, found in worst.items()}
        self._row(
            [(SIDE, self._drawing(poses, ""), self._pose_caption(worst))],
            max(self.sheet.left - CAUTIONS_ROOM, LEAST_SIDE),
        )
        self._cautions()
        self._row([(TOP, self._drawing(poses, ""), "Poses as in the side view.")], 0.54 * self.sheet.body.height())
        axles = self.study.rig.axles
        for pair in (axles[:2], axles[2:]):
            fronts = [
                (
                    FRONT,
                    self._drawing(poses, axle.id),
                    self._pose_sentence(axle, worst.get(axle.id)),
                )
                for axle in pair
            ]
            if fronts:
                self._row(fronts, 0.44 * self.sheet.body.height())
        self._other_poses(poses)

    def _other_poses(self, drawn: dict[str, TravelPose]) -> None:
        """Front and side view at further poses that do not clear: one pose cannot show them all."""
        telling = telling_poses(self.study, drawn)
        if not telling:
            return
        self.sheet.heading("Other poses that do not clear", room=POSE)
        for each in telling:
            poses = drawn | {each.axle: each.pose}
            drawing = self._drawing(poses, each.axle, each.approaches)
            caption = telling_words(each, self.study, self.unit)
            self._row([(FRONT, drawing, caption), (SIDE, drawing, "The same pose.")], POSE)

    def _worst(self) -> Iterator[tuple[str, Approach]]:
        for answer in self.study.axles:
            if answer.approaches:
                yield answer.axle, answer.approaches[0]

    def _drawing(
        self, poses: dict[str, TravelPose], active: str, approaches: tuple[Approach, ...] | None = None
    ) -> Drawing:
        marked = self.study.approaches if approaches is None else approaches
        return drawing_of(self.study.rig, poses, approaches=marked, active_axle=active, unit=self.unit)

    def _pose_caption(self, worst: dict[str, Approach]) -> str:
        return " ".join(self._pose_sentence(axle, worst.get(axle.id)) for axle in self.study.rig.axles)

    def _pose_sentence(self, axle: Axle, found: Approach | None) -> str:
        if found is None:
            problem = any(answer.axle == axle.id and answer.problem for answer in self.study.axles)
            return f"{axle_name(axle).capitalize()}: {'not established' if problem else 'at ride height'}."
        pose = pose_words(found.pose, axle, self.unit)
        return f"{axle_name(axle).capitalize()}, {pose}: least margin of {pair_words(found)}."

    def _row(self, views: list[tuple[View, Drawing, str]], height: float) -> None:
        """Drawings beside each other, each with its caption below."""
        width = self.sheet.body.width() / len(views) - (len(views) > 1) * 8.0
        room = max(text_height(f"{SCALE_WORDS} {caption}", face(SMALL), width) for _, _, caption in views)
        below = max(CAPTION, room + 6.0)

        def paint(painter: QPainter, area: QRectF) -> None:
            for number, (view, drawing, caption) in enumerate(views):
                column = QRectF(area.left() + number * area.width() / len(views), area.top(), width, area.height())
                picture = column.adjusted(0.0, 0.0, 0.0, -below)
                scale = drawing_scale(view, drawing, picture)
                paint_drawing(painter, picture, view, drawing)
                column.setTop(picture.bottom() + 3.0)
                painter.setFont(face(SMALL))
                painter.setPen(LIGHT.ink)
                words = f"{SCALE_WORDS.format(view=view.title, scale=scale)} {caption}"
                painter.drawText(column, WRAP, typeset(words))

        self.sheet.picture(height, paint)

    def _measured(self) -> None:
        """What was measured beside the plan, where an axle was."""
        sheet, built = self.sheet, self.study.as_built
        rows = [] if built is None else list(measured_rows(built.reports, self.unit))
        if not rows:
            return
        sheet.heading("Measured as built", room=TABLE)
        sheet.words(built_sentence(self.study, self.unit))
        sheet.table(list(map(Column, TITLES, (0.7, 1.4, 1.0, 1.0, 1.7, 0.9, 1.0))), rows)

    def _closest(self) -> None:
        sheet, rows = self.sheet, closest_rows(self.study, self.unit)
        sheet.heading("Closest approaches over the whole travel", room=TABLE)
        sheet.words(coverage_words(self.study, self.unit))

        def symbol(number: int, box: QRectF) -> None:
            draw_verdict(sheet.painter, box, rows[number].approach.verdict, LIGHT)

        shares = (0.85, 2.2, 0.9, 0.75, 1.6, 2.0)
        sheet.table(list(map(Column, CLOSEST_COLUMNS, shares)), [row.cells for row in rows], symbol=symbol)

    def _widths(self) -> None:
        sheet, curves = self.sheet, [curve for curve in self.curves if curve.samples]
        if not curves:
            return
        sheet.heading("Closest approach against width", room=CURVE + 90.0)
        sheet.words("Every other axle as drawn. Hatched widths do not clear; each bound names the pair that sets it.")
        for curve in curves:
            name = axle_name(self.study.rig.axle(curve.axle))
            sheet.need(CURVE + 50.0)
            sheet.words(
                f"{name.capitalize()}: widths that clear: {window_words(curve, self.unit)}.", face(10, bold=True)
            )
            sheet.picture(CURVE, partial(self._curve, curve))
            sheet.words(" ".join(bound_sentences(curve, self.unit)), face(SMALL))

    def _curve(self, curve: WidthCurve, painter: QPainter, area: QRectF) -> None:
        low, high = curve.samples[0].width, curve.samples[-1].width
        scene = WidthScene(self.study.rig, curve.axle, curve, low, high, self.unit, "", focused=False)
        palette = QPalette(LIGHT.raised, LIGHT.ground)
        PaperCurve(scene, area, face(SMALL), palette).draw(painter)

    def _inputs(self) -> None:
        sheet, study = self.sheet, self.study
        sheet.heading("Inputs", room=TABLE)
        columns = [Column("", 1.3), *(Column(axle_name(axle), 1.5) for axle in study.rig.axles)]
        sheet.table(columns, input_rows(study, self.unit))
        sheet.words(chassis_words(study))
        sheet.words(f"Wanted clearance: {wanted_words(study.rig.wanted, self.unit)}.")
        if study.rig.note:
            sheet.words(f"Note in the rig file: {study.rig.note}")

    def _method(self) -> None:
        self.sheet.heading("Method and tolerance")
        self.sheet.points(method_sentences(self.study, self.unit))

    def _cautions(self) -> None:
        self.sheet.heading("Cautions")
        self.sheet.points(CAUTIONS)
