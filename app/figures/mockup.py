"""The sliding mock-up axle: how to set it to the width, and to each width on the trial list."""

from __future__ import annotations

from collections.abc import Iterator

from app.figures.cuts import SHOP
from app.figures.figure import Figure, Group, attempt
from geometry.plan.amount import Amount
from geometry.plan.half import SIDES
from geometry.plan.mock_up import MockUpRow, mock_up
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig


def mockup(_rig: Rig, axle: Axle) -> Group:
    """Overlaps and marks; none where the mock-up fits no width."""
    figures, refused = attempt(lambda: tuple(_figures(axle)))
    remark = "A light axle to try widths with: set each slider to its mark, and lock it."
    return Group("mockup", "Mock-up axle", SIDES, figures, remark, refused)


def _figures(axle: Axle) -> Iterator[Figure]:
    widths = (axle.width, *(width for width in axle.trial_widths if width != axle.width))
    plan = mock_up(axle, widths)
    for row in plan.rows:
        yield from _row(row, axle, plan.least_width.missing)
    yield Figure(
        "least_width", "Least width", plan.least_width, "length",
        f"Below it the sliders meet, or a wheel mount meets the sleeve. {SHOP}",
    )  # fmt: skip
    yield Figure(
        "most_width", "Largest width", plan.most_width, "length",
        f"Above it less of a slider stays in the sleeve than you ask for. {SHOP}",
    )  # fmt: skip


def _row(row: MockUpRow, axle: Axle, missing: tuple[str, ...]) -> Iterator[Figure]:
    own = row.width == axle.width
    key, name = ("", "") if own else (f"{row.width!r}/", f"At {row.width:.10g} mm: ")
    outside = "the mock-up cannot be set to this width" if row.fits is False else ""
    for marks in (row.left, row.right):
        yield Figure(
            f"{key}from_mount", f"{name}{'mark' if name else 'Mark'} from the wheel mount", marks.from_mount, "mark",
            f"Wheel mounting face of the slider to the mouth of the sleeve. {SHOP}", marks.side,
        )  # fmt: skip
        yield Figure(
            f"{key}overlap", f"{name}{'overlap' if name else 'Overlap'}", marks.overlap, "mark",
            f"Slider inside the sleeve: from its inner end to the same mark. {SHOP}", marks.side,
        )  # fmt: skip
    fits = Amount(None, missing) if row.fits is None else Amount(float(row.fits))
    yield Figure(
        f"{key}fits", f"{name}{'can' if name else 'Can'} be set", fits, "yes or no",
        "Between the least and the largest width.", warning=outside,
    )  # fmt: skip
