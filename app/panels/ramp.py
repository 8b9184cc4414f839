"""A one-way scale of colour for clearance, dark for little and pale for much, even to the eye.

Made by straight steps between two colours in the OKLab space (B. Ottosson, "A perceptual color space for image
processing", 2020), in which equal steps look about equal; its lightness rises steadily, so it also prints in grey.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtGui import QColor

LITTLE: Final = (0.24, 0.02, -0.09)
MUCH: Final = (0.93, -0.02, 0.09)
"""Ends of the scale in OKLab: a deep blue and a pale yellow."""


def ramp(share: float) -> QColor:
    """Colour at a share of the scale, 0 = little, 1 = much; held at the ends."""
    t = min(max(share, 0.0), 1.0)
    light, a, b = (one + t * (two - one) for one, two in zip(LITTLE, MUCH, strict=True))
    long = (light + 0.3963377774 * a + 0.2158037573 * b) ** 3
    medium = (light - 0.1055613458 * a - 0.0638541728 * b) ** 3
    short = (light - 0.0894841775 * a - 1.2914855480 * b) ** 3
    linear = (
        4.0767416621 * long - 3.3077115913 * medium + 0.2309699292 * short,
        -1.2684380046 * long + 2.6097574011 * medium - 0.3413193965 * short,
        -0.0041960863 * long - 0.7034186147 * medium + 1.7076147010 * short,
    )
    return QColor.fromRgbF(*(_encoded(channel) for channel in linear))


def _encoded(linear: float) -> float:
    """IEC 61966-2-1, the sRGB transfer curve."""
    clipped = min(max(linear, 0.0), 1.0)
    return 12.92 * clipped if clipped <= 0.0031308 else 1.055 * clipped ** (1.0 / 2.4) - 0.055
