from __future__ import annotations

import pytest

from geometry.errors import RigError
from geometry.rig.wheel import (
    Tire,
    TireSize,
    Wheel,
    outer_width,
    read_size,
    tire_dimensions,
    track_width,
    wheel_offset,
)


@pytest.mark.parametrize(
    ("text", "diameter", "width", "rim"),
    [
        ("37x12.50R17", 939.8, 317.5, 431.8),
        ("37X12.50R17LT", 939.8, 317.5, 431.8),
        ("37 x 12.5 R 17", 939.8, 317.5, 431.8),
        ("31x10.50-15LT", 787.4, 266.7, 381.0),
        ("40x13.50R17", 1016.0, 342.9, 431.8),
        ("LT315/75R16", 878.9, 315.0, 406.4),
        ("lt315/75r16", 878.9, 315.0, 406.4),
        ("P235/75R15", 733.5, 235.0, 381.0),
        ("205/65ZR15", 647.5, 205.0, 381.0),
        ("215/75-17.5", 767.0, 215.0, 444.5),
        ("40x13.50R17 E", 1016.0, 342.9, 431.8),
        ("40X13.50R17LT/E", 1016.0, 342.9, 431.8),
        ("37x12.50R17LT 124Q D", 939.8, 317.5, 431.8),
        ("LT315/75R16 E", 878.9, 315.0, 406.4),
        ("LT315/75R16 127/124Q", 878.9, 315.0, 406.4),
        ("37x12,50R17", 939.8, 317.5, 431.8),
        ("37×12.50R17", 939.8, 317.5, 431.8),
        ("39.5x18-16.5", 1003.3, 457.2, 419.1),
        ("44x19.50-15 8PR", 1117.6, 495.3, 381.0),
    ],
)
def test_both_kinds_of_size_are_read(text: str, diameter: float, width: float, rim: float) -> None:
    size = read_size(text)
    assert size is not None
    assert (size.diameter, size.section_width, size.rim_diameter) == pytest.approx((diameter, width, rim), abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "37",
        "37x12.50",
        "x12.50R17",
        "315/75",
        "LT315/75R",
        "big",
        "17x12.50R37",
        "-37x12.50R17",
        "37x12.50R17 extra",
        "37x12.50R17E",
        "37x12.50R17 17",
        "7.50-16",
        "37x17R12.5",
        "40x17R13.50",
    ],
)
def test_what_is_no_size_is_not_guessed(text: str) -> None:
    assert read_size(text) is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("37 inch", "write it like 37x12.50R17 or LT315/75R16"),
        ("7.50-16", "an old numeric one, for it does not tell the diameter; give diameter, section_width and rim_"),
        ("37x17R12.50", "if section width and rim are swapped, write 37x12.50R17"),
        ("12x13.50R17", "write it like"),
    ],
)
def test_a_size_that_cannot_be_read_comes_back_with_what_to_write(text: str, words: str) -> None:
    with pytest.raises(RigError) as refused:
        tire_dimensions(Tire(size=text))
    assert refused.value.problem.startswith(f"cannot read the tire size “{text}”")
    assert words in refused.value.problem


def test_numbers_come_from_the_size_and_from_habit() -> None:
    numbers = tire_dimensions(Tire(size="37x12.50R17"))
    assert numbers.radius == pytest.approx(469.9)
    assert numbers.section_width == pytest.approx(317.5)
    assert numbers.loaded_radius == pytest.approx(0.96 * 469.9)
    assert numbers.shoulder_radius == pytest.approx(0.06 * 469.9)


def test_measured_numbers_count_instead() -> None:
    tire = Tire(
        size="37x12.50R17",
        diameter=930.0,
        section_width=310.0,
        rim_diameter=430.0,
        loaded_radius=440.0,
        shoulder_radius=20.0,
    )
    numbers = tire_dimensions(tire)
    assert (numbers.radius, numbers.section_width, numbers.rim_diameter) == (465.0, 310.0, 430.0)
    assert (numbers.loaded_radius, numbers.shoulder_radius) == (440.0, 20.0)


def test_an_unreadable_size_is_no_matter_when_all_is_measured() -> None:
    numbers = tire_dimensions(Tire(size="shop special", diameter=1000.0, section_width=330.0, rim_diameter=430.0))
    assert numbers.radius == 500.0


@pytest.mark.parametrize(
    ("tire", "place"),
    [
        (Tire(size="shop special", diameter=1000.0, section_width=330.0), "tire.size"),
        (Tire(size="37x12.50R17", diameter=400.0), "tire.rim_diameter"),
        (Tire(size="37x12.50R17", loaded_radius=215.0), "tire.loaded_radius"),
        (Tire(size="37x12.50R17", loaded_radius=470.0), "tire.loaded_radius"),
        (Tire(size="37x12.50R17", shoulder_radius=158.75), "tire.shoulder_radius"),
        (Tire(size="37x12.50R17", section_width=30.0), "tire.shoulder_radius"),
    ],
)
def test_numbers_that_do_not_fit_each_other_are_refused(tire: Tire, place: str) -> None:
    with pytest.raises(RigError) as refused:
        tire_dimensions(tire)
    assert refused.value.place == place


def test_offset_and_backspacing_say_the_same() -> None:
    wheel = Wheel(rim_width=228.6, backspacing=100.0)
    assert (
        wheel_offset(Wheel(rim_width=228.6, offset=wheel_offset(wheel))) == wheel_offset(wheel) == pytest.approx(-27.0)
    )


@pytest.mark.parametrize("wheel", [Wheel(rim_width=228.6), Wheel(rim_width=228.6, offset=0.0, backspacing=120.0)])
def test_a_wheel_has_one_of_offset_and_backspacing(wheel: Wheel) -> None:
    with pytest.raises(RigError, match="either offset or backspacing"):
        wheel_offset(wheel, "axles[0].wheel")


def test_a_smaller_offset_widens_the_track_by_both_sides() -> None:
    tire = tire_dimensions(Tire(size="37x12.50R17"))
    inner, outer = Wheel(rim_width=228.6, offset=10.0), Wheel(rim_width=228.6, offset=-15.0)
    assert track_width(1600.0, outer) - track_width(1600.0, inner) == 50.0
    assert outer_width(1600.0, inner, tire) == 1600.0 - 20.0 + 317.5


def test_a_size_is_nominal_in_every_digit() -> None:
    assert read_size("35x12.50R17") == TireSize(35 * 25.4, 12.5 * 25.4, 17 * 25.4)
