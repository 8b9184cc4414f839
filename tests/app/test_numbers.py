"""Numbers as the shop writes them: every field of the program takes the same, and the unit reaches everything."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QBuffer, QLocale, QPoint, QPointF, QSettings, Qt
from PySide6.QtGui import QGuiApplication, QPainter, QWheelEvent
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QAbstractSlider, QAbstractSpinBox, QApplication, QComboBox, QLineEdit, QTabWidget, QWidget
from pytestqt.qtbot import QtBot

from app.document import Document
from app.files.assets import demo_rigs
from app.files.dxf import read_drawing
from app.files.dxf_out import drawing_bytes
from app.files.rig_file import read_rig, write_rig
from app.importing.preview import ImportPreview
from app.importing.source import Drawn
from app.panels.entry_field import EntryField
from app.panels.length_field import LengthField, MeasuredField
from app.panels.lengths_dialog import LengthsDialog
from app.panels.new_rig import NewRigDialog
from app.panels.records.topics import Topic
from app.panels.tables.sheets import sheets
from app.underlays.window import UnderlayDialog
from app.units import LengthUnit, echo_length, exact_length, parse_length
from app.window import MainWindow
from geometry.rig.layout import PartRef
from geometry.rig.naming import joint_part, link_part, node_part
from geometry.rig.rig import Rig
from geometry.sketch.lookup import part_of

APP = Path(__file__).parents[2] / "app"
INCH, MM = 25.4, 1.0

SETTINGS = [
    pytest.param((unit, QLocale(language)), id=f"{unit}-{language}")
    for unit in (LengthUnit.FRACTION, LengthUnit.MM)
    for language in ("en_US", "de_DE")
]
"""Inches and millimetres, in a language with decimal points and in one with decimal commas."""

PLAIN = {
    "60": 60.0,
    "60 3/16": 60.1875,
    "60³⁄₁₆": 60.1875,
    "60 + 2*1 3/4": 63.5,
    "1/2": 0.5,
    "½": 0.5,
    "1,5": 1.5,
    "1.5": 1.5,
    "−5": -5.0,
    "60\u00a03/16": 60.1875,
    "６０．５": 60.5,
}
"""Texts without a unit, and how many of the unit at hand they are."""

WITH_UNIT = {
    '60"': 1524.0,
    "60 in": 1524.0,
    '60 3/16"': 1528.7625,
    "60 3/16 in": 1528.7625,
    "5' 0 3/16\"": 1528.7625,
    "5ft 3/16": 1528.7625,
    "1528.8 mm": 1528.8,
    "1528.8mm": 1528.8,
    "152.88 cm": 1528.8,
    "60 3/16 in + 10 mm": 1538.7625,
}
"""Texts with a unit, in mm."""

REFUSED = ("60-3/16", "1,234", "3/0", "60 3/", "abc", "1e999", "nan", "2 in * 3 in")
"""Texts that say no length, or two."""


def expected(unit: LengthUnit) -> dict[str, float]:
    """What each text is [mm]."""
    return {text: count * unit.in_mm for text, count in PLAIN.items()} | WITH_UNIT


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION), settings)
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    with qtbot.waitActive(window):
        window.show()
    yield window
    window.searcher.stop()


def fields_of(root: QWidget) -> list[LengthField | MeasuredField]:
    return [field for field in root.findChildren(EntryField) if isinstance(field, (LengthField, MeasuredField))]


def enter(qtbot: QtBot, field: EntryField[object], text: str) -> None:
    """Put a text in, from the clipboard since synthetic keys are plain letters only, and press Enter."""
    field.line.setFocus()
    field.line.selectAll()
    if text:
        QGuiApplication.clipboard().setText(text)
        field.line.paste()
    else:
        qtbot.keyClick(field.line, Qt.Key.Key_Delete)
    qtbot.keyClick(field.line, Qt.Key.Key_Return)


def hold_to_the_table(
    qtbot: QtBot, fields: list[LengthField | MeasuredField], monkeypatch: pytest.MonkeyPatch, unit: LengthUnit
) -> None:
    for field in fields:
        taken: list[float] = []
        monkeypatch.setattr(field, "_commit", taken.append)
        for text, mm in expected(unit).items():
            field._value = None
            enter(qtbot, field, text)
            assert taken.pop() == pytest.approx(mm, rel=1e-15), (field.line.accessibleName(), text)
            assert not taken
        for text in (*REFUSED, *([""] if isinstance(field, LengthField) else [])):
            enter(qtbot, field, text)
            assert not taken, (field.line.accessibleName(), text)
            assert field.line.text() == text
            assert field.error.text().endswith(".")
            field.restore()


@pytest.fixture(params=SETTINGS)
def setting(request: pytest.FixtureRequest) -> Iterator[LengthUnit]:
    """Each unit in each language."""
    unit, locale = request.param
    before = QLocale()
    QLocale.setDefault(locale)
    yield unit
    QLocale.setDefault(before)


def links(rig: Rig) -> tuple[PartRef, PartRef]:
    """A link and an end of it."""
    axle = rig.axles[0]
    return link_part(axle, axle.rods[0]), joint_part(axle, axle.rods[0], "axle")


def test_every_field_of_the_window_passes_the_table_of_entries(
    qtbot: QtBot, window: MainWindow, monkeypatch: pytest.MonkeyPatch, setting: LengthUnit
) -> None:
    window.document.set_unit(setting)
    for tab in range(window.tabs.count()):
        window.tabs.setCurrentIndex(tab)  # makes its fields
    rig = window.document.rig
    for part in (part_of(rig, rig.bars[0]), part_of(rig, rig.panels[0]), node_part(rig.nodes[0]), *links(rig)):
        window.document.select(part)  # each kind of part has fields of its own
    for topic in (Topic("cuts", "rear"), Topic("perches", "rear"), Topic("straps", "rear")):
        window.details.show_topic(topic)  # one function makes the fields of all topics: these have each kind of them
    window.tabs.setCurrentWidget(window.numbers.parentWidget())  # its panel is made when it is first shown
    fields = fields_of(window)
    assert window.numbers.outer in fields
    hold_to_the_table(qtbot, fields, monkeypatch, setting)
    assert len(fields) >= 40
    assert window.document.rig is rig


def new_rig(window: MainWindow) -> QWidget:
    return NewRigDialog(window.document.unit, window)


def pictures(window: MainWindow) -> QWidget:
    window.show_underlays()
    (shown,) = window.findChildren(UnderlayDialog)
    for field in fields_of(shown):
        field.setEnabled(True)  # they wait for a picture
    return shown


def drawing_in(window: MainWindow) -> QWidget:
    drawing = read_drawing(drawing_bytes(window.document.rig))
    return ImportPreview(window.document, Drawn("frame.dxf", drawing), window)


def lengths(window: MainWindow) -> QWidget:
    return LengthsDialog(window, "Move by", {"x": 0.0, "y": 0.0, "z": 0.0}, window.document.unit, lambda _: None)


@pytest.mark.parametrize(
    ("dialog", "count"),
    [(new_rig, 5), (pictures, 4), (drawing_in, 6), (lengths, 3)],
    ids=lambda one: getattr(one, "__name__", str(one)),
)
def test_every_field_of_every_dialog_passes_the_table_of_entries(
    qtbot: QtBot,
    window: MainWindow,
    monkeypatch: pytest.MonkeyPatch,
    setting: LengthUnit,
    dialog: Callable[[MainWindow], QWidget],
    count: int,
) -> None:
    window.document.set_unit(setting)
    shown = dialog(window)
    with qtbot.waitActive(shown):
        shown.show()
    fields = fields_of(shown)
    hold_to_the_table(qtbot, fields, monkeypatch, setting)
    assert len(fields) >= count
    shown.close()


def test_no_dialog_with_fields_is_left_out_of_the_tests_above() -> None:
    holders = {
        str(path.relative_to(APP))
        for path in APP.rglob("*.py")
        if re.search(r"(?:Length|Measured)Field\(", path.read_text(encoding="utf-8"))
        and "panels/length_field" not in str(path)
    }
    assert holders <= {
        "importing/form.py",
        "panels/axle_form.py",
        "panels/details.py",
        "panels/draw_panel.py",
        "panels/lengths_dialog.py",
        "panels/new_rig.py",
        "panels/part_form.py",
        "panels/records/fields.py",
        "panels/plan_panel.py",
        "panels/wanted_form.py",
        "panels/width_strip.py",
        "underlays/window.py",
    }


def test_every_column_of_the_tables_passes_the_table_of_entries(setting: LengthUnit) -> None:
    unit = setting
    cells = {field.cell for sheet in sheets() for field in sheet.fields if field.cell.sign(unit) == unit.sign}
    assert len(cells) == 3
    for cell in cells:
        for text, mm in expected(unit).items():
            assert cell.read(text, unit) == pytest.approx(mm, rel=1e-15), text
        for text in REFUSED:
            with pytest.raises(ValueError, match=r"\.$"):
                cell.read(text, unit)


def test_numbers_are_typed_into_these_fields_and_cells_only() -> None:
    # What a toolkit's own box for numbers does with 1,5 depends on the language of the system: it may become 15.
    made = {
        f"{path.relative_to(APP)}: {node.func.id}"
        for path in APP.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in {"QLineEdit", "QSpinBox", "QDoubleSpinBox", "QInputDialog", "QDoubleValidator"}
    }
    # filters, which take words
    assert made == {"panels/tables/page.py: QLineEdit", "panels/command_list.py: QLineEdit"}


@pytest.mark.parametrize(
    ("typed", "unit", "echo"),
    [
        ("1,5", LengthUnit.FRACTION, "= 1 1/2 in, 38.1 mm"),
        ("1.234", LengthUnit.INCH, "= 1.234 in, 31.3 mm"),
        ("1.234", LengthUnit.MM, "= 1.2 mm, 0.049 in"),
        ("10 mm", LengthUnit.INCH, "= 0.394 in, 10.0 mm"),
        ("60 + 2*1 3/4", LengthUnit.FRACTION, "= 63 1/2 in, 1612.9 mm"),
        ("60 3/16", LengthUnit.FRACTION, ""),
        ("60 3/16 in", LengthUnit.FRACTION, ""),
        ("12.5", LengthUnit.MM, ""),
        ("60 3/", LengthUnit.FRACTION, ""),
    ],
)
def test_a_reading_that_is_not_plain_to_see_is_echoed(typed: str, unit: LengthUnit, echo: str) -> None:
    assert echo_length(typed, unit) == echo


def test_the_echo_stands_below_the_field_until_the_value_is_taken(qtbot: QtBot, window: MainWindow) -> None:
    field = window.details.axle.mount_width
    window.tabs.setCurrentIndex(1)
    field.line.setFocus()
    field.line.selectAll()
    qtbot.keyClicks(field.line, "1.700 m")
    assert field.error.text().replace("\N{NO-BREAK SPACE}", " ") == "= 66 15/16 in, 1700.0 mm"
    assert window.document.undo_stack.count() == 0
    qtbot.keyClick(field.line, Qt.Key.Key_Return)
    assert field.error.text() == ""
    assert window.document.rig.axle("rear").width == 1700.0


@pytest.mark.parametrize("unit", LengthUnit)
def test_an_exact_length_reads_back_to_the_last_bit(unit: LengthUnit) -> None:
    random = np.random.default_rng(9).uniform(-3000.0, 3000.0, 2000).tolist()
    for mm in (0.0, 1528.7625, -0.1, 1000.0 / 3.0, 1e-7, 19999.999999999996, *random):
        assert parse_length(exact_length(mm, unit), unit) == mm
    assert exact_length(1528.7625, LengthUnit.FRACTION) == "60.1875"


def test_enter_takes_a_value_once_and_esc_does_not_take_it_back(qtbot: QtBot, window: MainWindow) -> None:
    window.tabs.setCurrentIndex(1)
    field, document = window.details.axle.travel["droop"], window.document
    enter(qtbot, field, "4")
    qtbot.keyClick(field.line, Qt.Key.Key_Escape)
    window.views["side"].setFocus()
    assert document.rig.axle("rear").droop == pytest.approx(101.6)
    assert field.line.text() == "4 in"
    assert document.undo_stack.count() == 1


def test_the_wheel_over_a_field_that_has_no_focus_changes_nothing(window: MainWindow) -> None:
    window.show_tables()
    window.tabs.setCurrentIndex(1)
    window.views["side"].setFocus()
    document, before = window.document, window.document.rig
    kinds = (QLineEdit, QComboBox, QAbstractSlider, QAbstractSpinBox)
    bars = {"qt_scrollarea_vcontainer", "qt_scrollarea_hcontainer"}
    inputs = [one for kind in kinds for one in window.findChildren(kind) if one.parentWidget().objectName() not in bars]
    axle, pose = document.active_axle, document.pose(document.active_axle)
    texts = [(one, one.text()) for one in inputs if isinstance(one, QLineEdit)]
    assert len(inputs) > 20
    for one in inputs:
        for turn in (120, -120, -120):
            here = QPointF(one.rect().center())
            event = QWheelEvent(
                here,
                one.mapToGlobal(here),
                QPoint(0, 0),
                QPoint(0, turn),
                Qt.MouseButton.NoButton,
                Qt.KeyboardModifier.NoModifier,
                Qt.ScrollPhase.NoScrollPhase,
                False,
            )
            QApplication.sendEvent(one, event)
    assert document.rig is before
    assert (document.active_axle, document.pose(axle)) == (axle, pose)
    assert [one for one, text in texts if one.text() != text] == []


# Units


def painted_texts(root: QWidget) -> list[str]:
    """All text that a widget and those in it paint: fields, tables, lists, drawings and plots alike."""
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    picture = QSvgGenerator()
    picture.setOutputDevice(buffer)
    picture.setSize(root.size())
    painter = QPainter(picture)
    root.render(painter, QPoint())
    painter.end()
    found = re.findall(r"<text[^>]*>([^<]*)</text>", bytes(buffer.data().data()).decode())
    return [text.replace("\N{NO-BREAK SPACE}", " ").strip() for text in found]


OF_UNIT = {
    LengthUnit.MM: re.compile(r"(?<![a-z])mm\b"),
    LengthUnit.INCH: re.compile(r"\d in\b|\[in\]|\d\"|, in\b"),
    LengthUnit.FRACTION: re.compile(r"\b\d+/\d+\b"),
}
"""How a text in each unit is told: a sign, or a fraction that is not of a tire size."""


def test_the_unit_is_switched_everywhere_at_once_and_changes_no_geometry(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    document = window.document
    window.resize(1440, 1300)
    window.menus.top_view.setChecked(True)
    window.show_tables()
    qtbot.waitUntil(
        lambda: document.study is not None and document.width_curve(document.active_axle) is not None, timeout=30_000
    )
    rig = document.rig
    write_rig(tmp_path / "before.json", rig)
    for unit, others in (
        (LengthUnit.MM, (LengthUnit.INCH, LengthUnit.FRACTION)),
        (LengthUnit.INCH, (LengthUnit.MM, LengthUnit.FRACTION)),
        (LengthUnit.FRACTION, (LengthUnit.MM,)),
    ):
        window.menus.units[unit].trigger()
        shown: list[tuple[QTabWidget, int, QWidget]] = [(window.tabs, tab, window) for tab in range(2)]
        shown += [(window.tables, tab, window.tables) for tab in range(len(window.tables.pages))]
        for tabs, tab, root in shown:
            tabs.setCurrentIndex(tab)
            QApplication.processEvents()
            texts = painted_texts(root)
            sign = OF_UNIT[LengthUnit.MM if unit is LengthUnit.MM else LengthUnit.INCH]
            assert [text for text in texts if sign.search(text)]
            assert [text for text in texts for other in others if OF_UNIT[other].search(text)] == []
    write_rig(tmp_path / "after.json", document.rig)
    assert document.rig is rig
    assert (tmp_path / "after.json").read_bytes() == (tmp_path / "before.json").read_bytes()
    assert document.undo_stack.count() == 0
