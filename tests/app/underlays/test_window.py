"""Pictures behind the views: scaled, levelled and moved by clicks, kept with the rig, and told when they are gone."""

from __future__ import annotations

import shutil
from math import hypot
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPdfWriter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMainWindow
from pytestqt.qtbot import QtBot

from app.canvas.live import LiveDrawing
from app.canvas.modes import Modes
from app.canvas.pictures import MOST_PIXELS, picture_of
from app.canvas.rig_view import RigView
from app.canvas.style import screen_style
from app.canvas.underlays import placing
from app.document import Document
from app.files.assets import demo_rigs
from app.files.pictures import PictureError, picture_bytes, read_picture, taken_in
from app.files.rig_file import read_rig
from app.theme import colours
from app.underlays.window import UnderlayDialog
from app.units import LengthUnit
from geometry.rig.underlay import Underlay

LEFT, PLAIN = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><rect width="200" height="100" fill="red"/></svg>'


def photo(path: Path, width: int = 400, height: int = 200) -> Path:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor("red"))
    assert image.save(str(path))
    return path


@pytest.fixture
def rig_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_rigs()[0], tmp_path / "my.rig.json"))


class Bench:
    """A side view and the pictures' window on one document."""

    def __init__(self, qtbot: QtBot, rig_file: Path) -> None:
        self.document = Document(read_rig(rig_file), unit=LengthUnit.MM)
        self.document.open(rig_file)
        self.window = QMainWindow()
        self.modes = Modes(self.document, self.window)
        self.live = LiveDrawing(self.document, self.window)
        self.view = RigView(self.document, "side", self.live, self.modes)
        self.window.setCentralWidget(self.view)
        self.window.resize(800, 600)
        qtbot.addWidget(self.window)
        self.dialog = UnderlayDialog(self.document, self.live.underlays, self.modes, self.window)
        with qtbot.waitExposed(self.window):
            self.window.show()
        self.dialog.show()

    @property
    def underlay(self) -> Underlay:
        return self.document.rig.underlays[0]

    def click(self, place: QPointF) -> None:
        QTest.mouseClick(self.view, LEFT, PLAIN, self.view.viewport.to_pixel(place).toPoint())

    def press(self, button: str) -> None:
        widget = getattr(self.dialog, button)
        QTest.mouseClick(widget, LEFT, PLAIN, QPoint(10, widget.height() // 2))


@pytest.fixture
def bench(qtbot: QtBot, rig_file: Path) -> Bench:
    made = Bench(qtbot, rig_file)
    made.dialog.place(photo(rig_file.parent / "side.png"))
    return made


def test_a_photo_stands_behind_the_view(bench: Bench) -> None:
    assert (bench.underlay.file, bench.underlay.view) == ("side.png", "side")
    place = bench.view.viewport.to_pixel(placing(bench.underlay).map(QPointF(200.0, 2.0))).toPoint()
    seen = bench.view.grab().toImage().pixelColor(place)
    bench.document.undo_stack.undo()
    assert bench.document.rig.underlays == ()
    bare = bench.view.grab().toImage().pixelColor(place)
    assert seen.red() - seen.green() > 60 > bare.red() - bare.green()


def test_two_clicks_and_a_known_length_scale_the_picture_about_the_first(bench: Bench) -> None:
    one, other = (placing(bench.underlay).map(QPointF(x, 150.0)) for x in (100.0, 300.0))
    bench.press("scale_button")
    bench.click(one)
    bench.click(other)
    QTest.keyClicks(bench.dialog.distance.line, "2500 mm")
    QTest.keyClick(bench.dialog.distance.line, Qt.Key.Key_Return)
    seen = [placing(bench.underlay).map(QPointF(x, 150.0)) for x in (100.0, 300.0)]
    pixel = 1.0 / bench.view.viewport.scale  # clicks fall on whole pixels
    assert hypot(seen[1].x() - seen[0].x(), seen[1].y() - seen[0].y()) == pytest.approx(2500.0, abs=2.0 * pixel)
    assert (seen[0] - one).manhattanLength() < 2.0 * pixel
    assert bench.document.undo_stack.undoText() == "Scale picture"
    assert bench.modes.mode is None


def test_two_clicks_level_and_two_move(bench: Bench) -> None:
    spots = (QPointF(100.0, 100.0), QPointF(300.0, 140.0))
    bench.press("level_button")
    for spot in spots:
        bench.click(placing(bench.underlay).map(spot))
    one, other = (placing(bench.underlay).map(spot) for spot in spots)
    assert other.y() - one.y() == pytest.approx(0.0, abs=2.0 / bench.view.viewport.scale)
    assert bench.underlay.turn_deg != 0.0
    bench.press("move_button")
    target = one + QPointF(300.0, -100.0)
    bench.click(one)
    bench.click(target)
    assert (placing(bench.underlay).map(spots[0]) - target).manhattanLength() < 3.0 / bench.view.viewport.scale


def test_a_locked_picture_keeps_its_place_and_can_still_fade(bench: Bench) -> None:
    bench.press("locked")
    before = bench.underlay
    assert before.locked
    assert not any(getattr(bench.dialog, name).isEnabled() for name in ("scale_button", "width_field", "turn", "view"))
    bench.dialog.fade.setValue(70)
    assert bench.underlay.fade == 0.7
    assert bench.underlay.mm_per_pixel == before.mm_per_pixel


def test_width_and_turn_can_be_typed(bench: Bench) -> None:
    middle = placing(bench.underlay).map(QRectF(0.0, 0.0, 400.0, 200.0).center())
    for field, text in ((bench.dialog.turn, "10"), (bench.dialog.width_field, "3 m")):
        field.line.selectAll()
        QTest.keyClicks(field.line, text)
        QTest.keyClick(field.line, Qt.Key.Key_Return)
        if field is bench.dialog.turn:
            turned = placing(bench.underlay).map(QRectF(0.0, 0.0, 400.0, 200.0).center())
            assert (turned - middle).manhattanLength() < 1e-6
    assert (bench.underlay.turn_deg, 400.0 * bench.underlay.mm_per_pixel) == (10.0, pytest.approx(3000.0))


def test_clicks_in_another_view_are_told_where_to_go(bench: Bench, qtbot: QtBot) -> None:
    front = RigView(bench.document, "front", bench.live, bench.modes)
    qtbot.addWidget(front)
    bench.press("level_button")
    QTest.mouseClick(front, LEFT, PLAIN, QPoint(80, 60))
    assert front.readout() == ("Click in the side view, where the picture is.",)


# Kept with the rig


def test_a_picture_from_elsewhere_is_copied_beside_the_rig_once(
    rig_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    source = photo(tmp_path_factory.mktemp("elsewhere") / "side.png")
    photo(rig_file.parent / "side.png", 10, 10)
    first, second = taken_in(rig_file, source), taken_in(rig_file, source)
    assert first == second
    assert first[0] == "side 2.png"
    assert (rig_file.parent / first[0]).read_bytes() == source.read_bytes()


def test_missing_and_changed_pictures_are_said_plainly(bench: Bench, rig_file: Path) -> None:
    path = rig_file.parent / "side.png"
    photo(path, 40, 20)
    bench.live.underlays.read_again()
    bench.dialog.refresh()
    assert "has changed since it was placed" in bench.dialog.problem.text()
    bench.press("again")
    assert not bench.dialog.problem.isVisible()
    path.unlink()
    bench.live.underlays.read_again()
    bench.dialog.refresh()
    assert bench.dialog.problem.text() == (
        "The picture side.png is missing from the folder of the rig; put it back there."
    )
    bench.view.grab()


def test_a_missing_picture_is_told_in_the_view_itself(bench: Bench, rig_file: Path) -> None:
    whole = bench.view.grab().toImage()
    (rig_file.parent / "side.png").unlink()
    bench.live.underlays.read_again()
    told = bench.view.grab().toImage()
    problem = screen_style(colours(bench.view.palette())).colours.problem
    band = [(x, y) for x in range(14, 400) for y in range(54, 76)]
    assert any(told.pixelColor(x, y) == problem for x, y in band)
    assert not any(whole.pixelColor(x, y) == problem for x, y in band)


def test_a_refused_picture_leaves_nothing_behind(
    bench: Bench, rig_file: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    junk = tmp_path_factory.mktemp("junk") / "junk.png"
    junk.write_bytes(b"no picture")
    said: list[str] = []
    monkeypatch.setattr("app.dialogs.say", lambda _parent, _what, why: said.append(why))
    bench.dialog.place(junk)
    assert said
    assert not (rig_file.parent / "junk.png").exists()


def test_saving_elsewhere_takes_the_pictures_along(bench: Bench, tmp_path_factory: pytest.TempPathFactory) -> None:
    target = tmp_path_factory.mktemp("copy") / "other.rig.json"
    bench.document.save(target)
    _, same = read_picture(target, read_rig(target).underlays[0])
    assert same


@pytest.mark.parametrize(
    "file", ["../side.png", "/etc/side.png", "a/../../side.png", "C:side.png", "a\\side.png", "link.png"]
)
def test_no_picture_is_read_outside_the_rig_s_folder(
    rig_file: Path, file: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = photo(tmp_path_factory.mktemp("outside") / "side.png")
    (rig_file.parent / "link.png").symlink_to(outside)
    with pytest.raises(PictureError, match="folder"):
        read_picture(rig_file, Underlay(id="a", view="side", file=file, sha256="0" * 64))


# What can be read


@pytest.mark.usefixtures("qapp")
def test_vector_drawings_and_pdf_pages_are_read_at_their_size(tmp_path: Path) -> None:
    drawing = picture_of(SVG, "plan.svg")
    assert (drawing.size.width(), drawing.size.height(), drawing.image.width()) == (200.0, 100.0, MOST_PIXELS)
    assert drawing.image.pixelColor(5, 5) == QColor("red")
    path = tmp_path / "plan.pdf"
    writer = QPdfWriter(str(path))
    painter = QPainter(writer)
    painter.fillRect(0, 0, writer.width(), writer.height(), QColor("blue"))
    writer.newPage()
    painter.fillRect(0, 0, writer.width(), writer.height(), QColor("lime"))
    painter.end()
    page = picture_of(path.read_bytes(), "plan.pdf", 2)
    inch = writer.pageLayout().fullRectPoints().width() / 72.0
    assert page.size.width() == pytest.approx(200.0 * inch, abs=1.0)
    assert page.image.pixelColor(page.image.rect().center()) == QColor("lime")
    with pytest.raises(PictureError, match="has 2 pages and no page 3"):
        picture_of(path.read_bytes(), "plan.pdf", 3)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "side.png"),
        (b"GIF89a" + b"\0" * 20, "side.png"),
        (b"%PDF-1.7 nothing", "plan.pdf"),
        (b"<svg", "plan.svg"),
        (SVG.replace(b"<rect", b'<image href="file:///etc/passwd"/><rect'), "plan.svg"),
        (b'<!DOCTYPE svg [<!ENTITY a "aaaa">]>' + SVG, "plan.svg"),
        (SVG.replace(b'fill="red"', b'fill="url(http://example.com/a)"'), "plan.svg"),
    ],
)
def test_damaged_pictures_and_those_that_ask_for_more_are_refused_in_words(data: bytes, name: str) -> None:
    with pytest.raises(PictureError, match=name.replace(".", r"\.")):
        picture_of(data, name)


def test_other_kinds_and_empty_files_are_refused(tmp_path: Path) -> None:
    (tmp_path / "a.tiff").write_bytes(b"II*\0")
    (tmp_path / "a.png").write_bytes(b"")
    for name, words in (("a.tiff", r"none of \.png"), ("a.png", "is empty"), ("b.png", "cannot be read")):
        with pytest.raises(PictureError, match=words):
            picture_bytes(tmp_path / name)
