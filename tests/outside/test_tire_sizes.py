"""Tire sizes, wheel offsets and widths against published tables and worked examples.

Sources, the makers left unnamed:

- A tire maker's table "Sizes & Specifications", black-sidewall rows of its all-terrain tire: inflated overall diameter
  and section width on the measuring rim, printed in inches to a tenth. The section widths were recomputed with
  S = S1 + 0.4 (A − A1), A1 = 0.70 S1, from the section "6.1.1.1" of the UN tyre regulations.
- An importer's size table: flotation sizes, design diameter and section width in mm. These tires are designed 5 to 7 mm
  under their nominal diameter, which is why every number can be overridden.
- A tire shop's calculator for LT315/70R17, printed 34.362 in, and a size guide's example 205/65R15, printed 647 mm
  with the sidewall rounded down from 133.25 to 133 mm.
- A wheel maker's page on backspacing, 15x8 with +35 mm offset: printed 5.877 in (5.87795 in full).
- Two drawings of complete axles from an axle builder (2400 mm from drum face to drum face, offset 60 mm, tires
  215/75-17.5): outside of the tires 2490 mm, inside 2070 mm. They take 210 mm for the mounted section.
"""

from __future__ import annotations

import pytest

from geometry.rig.wheel import (
    INCH,
    Tire,
    Wheel,
    outer_width,
    read_size,
    tire_dimensions,
    track_width,
    wheel_offset,
)


def section_on_rim(nominal_mm: float, rim_in: float) -> float:
    """Section width on a rim by the regulation's rule, x = 0.70 [mm]."""
    return nominal_mm + 0.4 * (rim_in * INCH - 0.70 * nominal_mm)


@pytest.mark.parametrize(
    ("size", "rim_in", "diameter_in", "width_in"),
    [
        ("LT235/85R16", 6.5, 31.7, 9.3),
        ("LT265/75R16", 7.5, 31.7, 10.5),
        ("LT285/75R16", 8.0, 32.8, 11.3),
        ("LT315/75R16", 8.5, 34.6, 12.3),
    ],
)
def test_metric_sizes_meet_the_makers_table_of_measured_tires(
    size: str, rim_in: float, diameter_in: float, width_in: float
) -> None:
    found = read_size(size)
    assert found is not None
    assert found.diameter / INCH == pytest.approx(diameter_in, abs=0.1)
    assert section_on_rim(found.section_width, rim_in) / INCH == pytest.approx(width_in, abs=0.1)


@pytest.mark.parametrize(
    ("size", "diameter_in"),
    [("LT235/85R16", 31.728), ("LT265/75R16", 31.650), ("LT285/75R16", 32.831), ("LT315/75R16", 34.602)],
)
def test_metric_diameters_to_the_digits_of_the_formula(size: str, diameter_in: float) -> None:
    found = read_size(size)
    assert found is not None
    assert found.diameter / INCH == pytest.approx(diameter_in, abs=0.0005)


def test_the_calculators_diameter_of_lt315_70r17() -> None:
    found = read_size("LT315/70R17")
    assert found is not None
    assert found.diameter == pytest.approx(872.8, abs=0.05)
    assert found.diameter / INCH == pytest.approx(34.362, abs=0.0005)


def test_the_guides_diameter_of_205_65r15_without_its_rounding() -> None:
    found = read_size("205/65R15")
    assert found is not None
    assert found.diameter == pytest.approx(647.5, abs=1e-9)
    assert found.diameter - 2 * 0.25 == pytest.approx(647.0, abs=1e-9)


@pytest.mark.parametrize(("rim_in", "width_in"), [(5.5, 8.03), (6.0, 8.23), (6.5, 8.43), (7.0, 8.63), (7.5, 8.83)])
def test_section_widths_of_205_60r15_on_five_rims(rim_in: float, width_in: float) -> None:
    found = read_size("205/60R15")
    assert found is not None
    # The regulation rounds to a whole millimetre on the measuring rim, 6.0 in; the page steps by 0.2 in from there.
    assert section_on_rim(found.section_width, rim_in) / INCH == pytest.approx(width_in, abs=0.025)


@pytest.mark.parametrize(
    ("size", "diameter_mm", "section_mm"),
    [
        ("31x10.50R15LT", 781.0, 268.0),
        ("33x12.50R15LT", 832.0, 318.0),
        ("35x12.50R15LT", 883.0, 318.0),
        ("33x12.50R20LT", 832.0, 318.0),
        ("35x12.50R20LT", 883.0, 318.0),
    ],
)
def test_flotation_sizes_are_nominal_a_little_over_their_design(
    size: str, diameter_mm: float, section_mm: float
) -> None:
    found = read_size(size)
    assert found is not None
    assert 5.0 < found.diameter - diameter_mm < 7.0
    assert found.section_width == pytest.approx(section_mm, abs=1.5)
    measured = tire_dimensions(Tire(size=size, diameter=diameter_mm, section_width=section_mm))
    assert (2.0 * measured.radius, measured.section_width) == (diameter_mm, section_mm)


def test_backspacing_of_a_15x8_wheel_with_35_mm_offset() -> None:
    wheel = Wheel(rim_width=8.0 * INCH, backspacing=5.877953 * INCH, flange=0.5 * INCH)
    assert wheel_offset(wheel) == pytest.approx(35.0, abs=1e-4)
    printed = Wheel(rim_width=8.0 * INCH, backspacing=5.877 * INCH, flange=0.5 * INCH)
    assert wheel_offset(printed) == pytest.approx(35.0, abs=0.001 * INCH)


@pytest.mark.parametrize(("offset", "track_in"), [(-38.0, 74.9921), (0.0, 72.0)])
def test_track_and_outer_width_of_a_72_in_axle(offset: float, track_in: float) -> None:
    wheel = Wheel(rim_width=9.0 * INCH, offset=offset)
    tire = tire_dimensions(Tire(size="37x12.50R17"))
    assert track_width(72.0 * INCH, wheel) / INCH == pytest.approx(track_in, abs=5e-5)
    assert outer_width(72.0 * INCH, wheel, tire) / INCH == pytest.approx(track_in + 12.5, abs=5e-5)


@pytest.mark.parametrize(("offset", "width_in"), [(0.0, 67.5), (-38.0, 64.5079)])
def test_widest_axle_under_an_80_in_limit(offset: float, width_in: float) -> None:
    wheel = Wheel(rim_width=9.0 * INCH, offset=offset)
    tire = tire_dimensions(Tire(size="37x12.50R17"))
    assert outer_width(width_in * INCH, wheel, tire) / INCH == pytest.approx(80.0, abs=5e-5)


def test_the_drawing_of_a_complete_2400_mm_axle() -> None:
    wheel = Wheel(rim_width=6.0 * INCH, offset=60.0)
    tire = tire_dimensions(Tire(size="215/75-17.5", section_width=210.0))
    track = track_width(2400.0, wheel)
    assert track == pytest.approx(2280.0, abs=1e-9)
    assert outer_width(2400.0, wheel, tire) == pytest.approx(2490.0, abs=1e-9)
    assert track - tire.section_width == pytest.approx(2070.0, abs=1e-9)
