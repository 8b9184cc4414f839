"""The survey sheet as a PDF: numbered points in the views, planned values, and boxes for what the tape shows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

import msgspec
import numpy as np
from PySide6.QtCore import QPointF, QRectF, QUuid
from PySide6.QtGui import QFontMetricsF, QGuiApplication, QPainter, QPen

from app.canvas.scene import Drawing, drawing_of
from app.files.saving import save_bytes
from app.report.drawings import drawing_place, drawing_scale, paint_drawing
from app.report.pdf import SCALE_WORDS, letterhead
from app.report.sheet import A4, LETTER, SMALL, WRAP, Column, Letterhead, Sheet, face
from app.report.survey import (
    AFTER,
    CAUTIONS,
    MARK_WORDS,
    PREPARE,
    SHOCK_COLUMNS,
    SHOCK_PLACES,
    PointRow,
    axle_rows,
    joint_rows,
    node_rows,
    panel_rows,
    tube_rows,
)
from app.theme import LIGHT
from app.units import LengthUnit
from geometry.outline.view import FRONT, SIDE, TOP, View
from geometry.rig.rig import Rig

KIND: Final = "Survey sheet"
NAMESPACE: Final = QUuid("{2d1b6a54-7c0e-4d0f-8a51-0f3d1c9be7aa}")
"""Our own, so that equal sheets carry equal document ids."""

NUMBER: Final = 6.5
"""Height of a point's number in a drawing [points]."""

NEAR: Final = 1.0
"""Points that lie on each other in a view by less than this share one spot [mm]."""

LEADERS: Final = tuple(
    (reach * np.cos(angle), reach * np.sin(angle))
    for reach in (7.0, 12.0, 18.0, 26.0, 36.0)
    for angle in np.radians((-45.0, 45.0, -135.0, 135.0, -90.0, 90.0, 0.0, 180.0))
)
"""Where a number may stand from its point, the best first [points]."""

POINT_COLUMNS: Final = (("No.", 0.45), ("Point", 2.4), ("x", 1.0), ("y", 1.0), ("z", 1.0))
BLANKS: Final = (("x measured", 1.3), ("y measured", 1.3), ("z measured", 1.3))


def write_survey(path: Path, rig: Rig, unit: LengthUnit, *, rig_file: str = "", when: datetime | None = None) -> None:
    """Write the survey sheet of a rig; the file appears whole or not at all.

    Parameters
    ----------
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
    head = letterhead(rig, KIND, unit, rig_file, when)
    _, pages = _filled(rig, unit, head, 0)
    whole, _ = _filled(rig, unit, head, pages)
    save_bytes(path, whole)


def _filled(rig: Rig, unit: LengthUnit, head: Letterhead, pages: int) -> tuple[bytes, int]:
    uid = QUuid.createUuidV5(NAMESPACE, msgspec.json.encode(rig) + str(unit).encode())
    sheet = Sheet(A4 if unit is LengthUnit.MM else LETTER, head, pages, uid)
    try:
        _set_up(sheet, rig, unit)
        _points(sheet, rig, unit)
        _axles(sheet, rig, unit)
        _tubes(sheet, rig, unit)
        _shocks(sheet)
    finally:
        pdf = sheet.end()
    return pdf, sheet.page


def _set_up(sheet: Sheet, rig: Rig, unit: LengthUnit) -> None:
    sheet.words("What to measure, and how", face(15, bold=True))
    sheet.table(
        [Column("Measured by", 1.0), Column("Date", 0.6), Column("Unit of the figures", 0.8)], [("",) * 3], blanks=3
    )
    sheet.points(PREPARE)
    if rig.unconfirmed:
        sheet.words(MARK_WORDS, face(9, bold=True))
    sheet.heading("Cautions")
    sheet.points(CAUTIONS)
    drawing = drawing_of(rig, {}, approaches=(), active_axle=rig.axles[0].id, unit=unit)
    nodes, joints = node_rows(rig), joint_rows(rig)
    height = (sheet.body.height() - 40.0) / 2.0
    sheet.heading("Points of the chassis by number", room=2.0 * height)
    _view(sheet, height, SIDE, drawing, nodes)
    _view(sheet, height, TOP, drawing, nodes)
    sheet.heading("Points of the chassis from the front, and ends of the links from above", room=2.0 * height)
    _view(sheet, height, FRONT, drawing, nodes)
    _view(sheet, height, TOP, drawing, joints)


def _view(sheet: Sheet, height: float, view: View, drawing: Drawing, rows: Sequence[PointRow]) -> None:
    def paint(painter: QPainter, area: QRectF) -> None:
        picture = area.adjusted(0.0, 0.0, 0.0, -14.0)
        paint_drawing(painter, picture, view, drawing)
        place = drawing_place(view, drawing, picture)
        spots = [place.map(QPointF(*view.project(np.array(row.at)))) for row in rows]
        _numbers(painter, [str(row.number) for row in rows], spots, picture)
        painter.setFont(face(SMALL))
        painter.setPen(LIGHT.ink)
        words = SCALE_WORDS.format(view=view.title, scale=drawing_scale(view, drawing, picture))
        painter.drawText(QRectF(area.left(), picture.bottom() + 2.0, area.width(), 12.0), WRAP, words)

    sheet.picture(height, paint)


def _numbers(painter: QPainter, words: Sequence[str], spots: Sequence[QPointF], area: QRectF) -> None:
    """Each spot's numbers beside it, clear of spots and of other numbers, with a leader."""
    gathered: dict[tuple[int, int], list[int]] = {}
    for index, spot in enumerate(spots):
        gathered.setdefault((round(spot.x() / NEAR), round(spot.y() / NEAR)), []).append(index)
    font = face(7)
    metrics = QFontMetricsF(font)
    taken = [QRectF(spot.x() - 1.5, spot.y() - 1.5, 3.0, 3.0) for spot in spots]
    painter.setFont(font)
    for indices in gathered.values():
        spot, text = spots[indices[0]], ", ".join(words[index] for index in indices)
        box = _free_box(spot, metrics.horizontalAdvance(text) + 2.0, NUMBER + 1.0, taken, area)
        taken.append(box)
        painter.setPen(QPen(LIGHT.accent, 0.5))
        painter.drawLine(spot, QPointF(min(max(spot.x(), box.left()), box.right()), box.center().y()))
        painter.setBrush(LIGHT.accent)
        painter.drawEllipse(spot, 1.1, 1.1)
        painter.fillRect(box, LIGHT.sheet)
        painter.setPen(LIGHT.ink)
        painter.drawText(QPointF(box.left() + 1.0, box.bottom() - 1.6), text)


def _free_box(spot: QPointF, width: float, height: float, taken: Sequence[QRectF], area: QRectF) -> QRectF:
    """Where a number of that size overlaps the least with what is there."""
    best, least = QRectF(), float("inf")
    for across, down in LEADERS:
        box = QRectF(0.0, 0.0, width, height)
        box.moveCenter(spot + QPointF(across + np.sign(across) * width / 2.0, down))
        covered = sum(shared.width() * shared.height() for each in taken if (shared := box.intersected(each)).isValid())
        if covered < least and area.contains(box):
            best, least = box, covered
        if least == 0.0:
            break
    return best


def _points(sheet: Sheet, rig: Rig, unit: LengthUnit) -> None:
    columns = [Column(title, share) for title, share in (*POINT_COLUMNS, *BLANKS)]
    for title, rows in (("Points of the chassis", node_rows(rig)), ("Ends of the links", joint_rows(rig))):
        if rows:
            sheet.heading(title, room=90.0)
            sheet.table(columns, [(*row.cells(unit), "", "", "") for row in rows], blanks=3)


def _axles(sheet: Sheet, rig: Rig, unit: LengthUnit) -> None:
    sheet.heading("Axles, tires and wheels", room=90.0)
    columns = [Column("Axle", 0.6), Column("What", 1.2), Column("How", 3.2), Column("Planned", 1.2)]
    columns += [Column("Left, or only one", 1.3), Column("Right", 1.3)]
    sheet.table(columns, [(*row, "", "") for row in axle_rows(rig, unit)], blanks=2)


def _tubes(sheet: Sheet, rig: Rig, unit: LengthUnit) -> None:
    sheet.heading("Tubes and links: diameter, wall and bend", room=90.0)
    columns = [Column("Part", 1.9), Column("Along points", 2.0), Column("Diameter", 0.9), Column("Wall", 0.9)]
    columns += [Column("Bend radius", 0.9), Column("Diameter", 0.9), Column("Wall", 0.9), Column("Bend radius", 0.9)]
    sheet.words("The last three boxes are for what was measured.")
    sheet.table(columns, [(*row, "", "", "") for row in tube_rows(rig, unit)], blanks=3)
    if rig.panels:
        sheet.heading("Panels", room=90.0)
        columns = [Column("Panel", 1.8), Column("Corners", 2.6), Column("On the rig", 0.8), Column("Thickness", 0.9)]
        columns += [Column("On the rig?", 1.0), Column("Thickness measured", 1.2)]
        sheet.table(columns, [(*row, "", "") for row in panel_rows(rig, unit)], blanks=2)


def _shocks(sheet: Sheet) -> None:
    sheet.heading("Shocks, stops and straps", room=90.0)
    sheet.words(AFTER)
    columns = [Column(title, 2.0 if number == 0 else 1.0) for number, title in enumerate(SHOCK_COLUMNS)]
    blanks = len(columns) - 1
    sheet.table(columns, [(place, *[""] * blanks) for place in SHOCK_PLACES], blanks=blanks)
