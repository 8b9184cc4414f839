"""The report on paper says what the study says, and reads back as text."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import msgspec
import pytest
from PySide6.QtGui import QImage

from app import as_built, study
from app.edits import with_axle
from app.files.answer import answer_to_json
from app.files.rig_file import read_rig
from app.files.saving import FileSaveError
from app.report.content import CAUTIONS, NEAREST, telling_poses
from app.report.pdf import write_pdf
from app.study import Study
from app.units import LengthUnit, format_clearance, format_length
from app.widths import miss_words, nearest_miss
from app.wording import pose_words, verdict_sentence
from geometry.contact.findings import Verdict, WidthCurve
from geometry.rig.build import AsBuilt, Build

ASSETS = Path(__file__).parents[3] / "assets"
WHEN = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)

pytestmark = [
    pytest.mark.usefixtures("qapp"),
    pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils are not installed"),
]

Found = tuple[Study, tuple[WidthCurve, ...]]


@pytest.fixture(scope="module")
def found() -> Found:
    rig = read_rig(ASSETS / "1-short-two-seat.rig.json")
    drawn = rig.axle("rear").width
    return study.check(rig), (study.width_curve(rig, "rear", drawn, drawn + 100.0),)


def text_of(pdf: Path, order: str = "-layout") -> str:
    done = subprocess.run(["pdftotext", order, str(pdf), "-"], capture_output=True, check=True)  # noqa: S607
    return done.stdout.decode().replace("−", "-").replace("\N{NO-BREAK SPACE}", " ")


def in_a_line(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def written(folder: Path, found: Found, unit: LengthUnit, name: str = "report.pdf") -> Path:
    path = folder / name
    write_pdf(path, *found, unit, rig_file="1-short-two-seat.rig.json", when=WHEN)
    return path


@pytest.mark.parametrize("unit", list(LengthUnit))
def test_the_verdict_stands_first(tmp_path: Path, found: Found, unit: LengthUnit) -> None:
    text = in_a_line(text_of(written(tmp_path, found, unit)))
    sentence = verdict_sentence(found[0], unit)
    assert sentence in text
    assert text.index(sentence) < text.index("Wheel-mount")


def test_the_table_s_clearances_are_those_of_the_json(tmp_path: Path, found: Found) -> None:
    text = text_of(written(tmp_path, found, LengthUnit.MM))
    table = text[text.index("Closest approaches over the whole travel") : text.index("Closest approach against width")]
    printed = re.findall(r"^\s*(?:touches|tight|clear|not established)\s.*?(-?\d+\.\d mm)", table, re.MULTILINE)
    answer = json.loads(answer_to_json(*found, LengthUnit.MM))
    pairs = [pair for axle in answer["axles"] for pair in axle["pairs"]]
    pairs.sort(key=lambda pair: pair["low_mm"] - pair["wanted_mm"])
    touching = sum(pair["verdict"] == "contact" for pair in pairs)
    assert touching > 0
    assert printed == [format_clearance(pair["low_mm"], LengthUnit.MM) for pair in pairs[: touching + NEAREST]]


def test_the_window_and_its_reason_are_named(tmp_path: Path, found: Found) -> None:
    text = in_a_line(text_of(written(tmp_path, found, LengthUnit.MM)))
    (window,) = found[1][0].windows
    assert f"Narrowest {format_clearance(window.low.width, LengthUnit.MM, up=True)}: any narrower, and" in text
    assert window.low.reason is not None
    assert window.low.reason.fixed.label in text


def test_an_axle_without_a_curve_has_no_window_made_up(tmp_path: Path, found: Found) -> None:
    path = tmp_path / "report.pdf"
    write_pdf(path, found[0], (), LengthUnit.MM)
    text = text_of(path)
    assert text.count("not established") >= len(found[0].axles)
    assert "Closest approach against width" not in text


def test_pages_are_numbered_and_carry_file_date_and_unit(tmp_path: Path, found: Found) -> None:
    pages = text_of(written(tmp_path, found, LengthUnit.FRACTION)).rstrip("\f").split("\f")
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "1-short-two-seat.rig.json" in page
        assert "2026-03-14 09:30" in page
        assert "lengths in inches with fractions" in page


def test_cautions_stand_on_the_first_page(tmp_path: Path, found: Found) -> None:
    first = in_a_line(text_of(written(tmp_path, found, LengthUnit.MM)).split("\f")[0])
    assert [caution for caution in CAUTIONS if caution not in first] == []


@pytest.mark.parametrize(("unit", "size"), [(LengthUnit.MM, "595 x 842"), (LengthUnit.INCH, "612 x 792")])
def test_paper_goes_with_the_unit(tmp_path: Path, found: Found, unit: LengthUnit, size: str) -> None:
    path = written(tmp_path, found, unit)
    done = subprocess.run(["pdfinfo", str(path)], capture_output=True, check=True)  # noqa: S607
    assert size in done.stdout.decode()


def test_equal_studies_give_equal_pages(tmp_path: Path, found: Found) -> None:
    dates = re.compile(rb'/(?:Creation|Mod)Date \(.*?\)|xmp:\w+Date=".*?"')
    one, two = (written(tmp_path, found, LengthUnit.MM, name).read_bytes() for name in ("one.pdf", "two.pdf"))
    assert dates.sub(b"", one) == dates.sub(b"", two)


def test_a_place_that_cannot_be_written_is_said_and_leaves_nothing(tmp_path: Path, found: Found) -> None:
    with pytest.raises(FileSaveError, match="cannot be written"):
        write_pdf(tmp_path / "no such folder" / "report.pdf", *found, LengthUnit.MM)
    assert list(tmp_path.iterdir()) == []


def test_an_axle_that_cannot_travel_is_reported_as_not_established(tmp_path: Path, found: Found) -> None:
    rig = found[0].rig
    rear = rig.axle("rear")
    short = (
        msgspec.structs.replace(rod, chassis=(rod.axle[0] + 100.0, *rod.axle[1:]), joint_room=0.0)
        for rod in rear.rods[2:]
    )
    rear = msgspec.structs.replace(rear, rods=(*rear.rods[:2], *short))
    stuck = study.check(msgspec.structs.replace(rig, axles=(rear, rig.axle("front"))))
    assert stuck.axles[0].problem
    path = tmp_path / "report.pdf"
    write_pdf(path, stuck, (), LengthUnit.MM)
    text = in_a_line(text_of(path))
    assert stuck.axles[0].problem in text
    assert "not established" in text


def test_a_rig_without_a_chassis_has_a_report(tmp_path: Path, found: Found) -> None:
    bare = study.check(msgspec.structs.replace(found[0].rig, nodes=(), bars=(), panels=()))
    path = tmp_path / "report.pdf"
    write_pdf(path, bare, (), LengthUnit.FRACTION)
    assert "0 bars and 0 fitted panels" in text_of(path)


def test_what_was_measured_stands_beside_its_plan(tmp_path: Path, found: Found) -> None:
    bare = msgspec.structs.replace(found[0].rig, nodes=(), bars=(), panels=())
    record = AsBuilt(date="2026-05-31", stage="welded", pinion_offset=50.0)
    rig = with_axle(bare, "rear", build=Build(tolerance=3.0), as_built=record)
    path = tmp_path / "report.pdf"
    write_pdf(path, as_built.check(rig), (), LengthUnit.MM)
    text = in_a_line(text_of(path))
    assert "Out of tolerance: 1 of 1 measured numbers, pinion offset, " in text
    assert re.search(r"rear pinion offset 50\.0 mm .* over the plan ±3\.0 mm NO", text)


def test_it_is_written_where_no_window_system_is(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from app import study; from app.files.rig_file import read_rig;"
        "from app.report.pdf import write_pdf; from app.units import LengthUnit;"
        "write_pdf(Path(sys.argv[2]), study.check(read_rig(Path(sys.argv[1]))), (), LengthUnit.MM)"
    )
    path = tmp_path / "report.pdf"
    rig = ASSETS / "1-short-two-seat.rig.json"
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", script, str(rig), str(path)],
        capture_output=True,
        check=False,
        cwd=ASSETS.parent,
        env={"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)},
    )
    assert done.returncode == 0, done.stderr.decode()
    assert done.stderr == b""
    assert path.read_bytes().startswith(b"%PDF")


def test_every_pose_that_does_not_clear_has_a_drawing_or_one_like_it(tmp_path: Path, found: Found) -> None:
    rig = found[0].rig
    narrow = study.check(study.with_width(study.with_width(rig, "rear", 1600.0), "front", 1600.0))
    drawn = {answer.axle: answer.approaches[0].pose for answer in narrow.axles}
    telling = telling_poses(narrow, drawn)
    assert telling
    assert [each.pose for each in telling] == list(dict.fromkeys(each.pose for each in telling))
    for each in telling:
        assert all(pair.verdict is not Verdict.CLEAR and pair.axle == each.axle for pair in each.approaches)
        assert each.pose != drawn[each.axle]
        assert each.pose == min(each.approaches, key=lambda pair: pair.margin).pose
    path = tmp_path / "report.pdf"
    write_pdf(path, narrow, (), LengthUnit.MM)
    text = in_a_line(text_of(path, "-raw"))
    assert "Other poses that do not clear" in text
    for each in telling:
        assert pose_words(each.pose, rig.axle(each.axle), LengthUnit.MM) in text


def test_a_clear_rig_has_no_other_poses(tmp_path: Path, found: Found) -> None:
    wide = study.check(study.with_width(found[0].rig, "rear", 1800.0))
    assert wide.verdict is Verdict.CLEAR
    assert telling_poses(wide, {}) == ()
    path = tmp_path / "report.pdf"
    write_pdf(path, wide, (), LengthUnit.MM)
    assert "Other poses" not in text_of(path)


def test_rod_ends_are_among_the_inputs(tmp_path: Path, found: Found) -> None:
    text = in_a_line(text_of(written(tmp_path, found, LengthUnit.MM)))
    for rod in found[0].rig.axle("rear").rods:
        for end in (rod.chassis, rod.axle):
            assert "; ".join(format_length(each, LengthUnit.MM) for each in end) in text


def test_no_page_but_the_last_is_mostly_blank(tmp_path: Path, found: Found) -> None:
    path = written(tmp_path, found, LengthUnit.FRACTION)
    subprocess.run(["pdftoppm", "-r", "20", "-gray", str(path), str(tmp_path / "page")], check=True)  # noqa: S607
    pages = [QImage(str(page)) for page in sorted(tmp_path.glob("page*.pgm"))]
    assert len(pages) > 2
    for page in pages[:-1]:
        columns = range(page.width())
        body = range(round(0.6 * page.height()), round(0.9 * page.height()))
        assert any(page.pixelColor(x, y).value() < 250 for y in body for x in columns)


def test_where_nothing_clears_the_report_names_the_nearest_miss(tmp_path: Path, found: Found) -> None:
    rig = found[0].rig
    curve = study.width_curve(rig, "rear", rig.axle("rear").width - 60.0, rig.axle("rear").width - 20.0)
    assert not curve.windows
    missed = nearest_miss(curve)
    assert missed is not None
    path = tmp_path / "report.pdf"
    write_pdf(path, found[0], (curve,), LengthUnit.MM)
    assert miss_words(missed, LengthUnit.MM)[1:] in in_a_line(text_of(path))
