"""Colours and sizes of the drawings: one style for each theme on screen, black on white on paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtGui import QColor

from app.theme import BRIGHT, CONTRAST, DARK, LIGHT, Colours

SCREEN_TEXT: Final = 12.0
"""Height of text on screen [points of the drawing = device-independent pixels]."""


@dataclass(frozen=True, slots=True)
class DrawStyle:
    """How a drawing looks.

    Sizes are in points of the drawing; the painter is told how many mm of the rig one point spans, so that lines and
    text keep their size whatever the scale. On screen a point is a pixel, on paper a fraction of a millimetre.

    Attributes
    ----------
    colours : Colours
        Named colours of the theme: sheet, ink, verdicts, accent.
    tube, tube_edge : QColor
        Chassis bars and their outline.
    link, axle : QColor
        Rods; housing and centre section.
    tire, tire_edge, rim : QColor
    panel, panel_edge : QColor
        Translucent skin and its edge.
    ghost : QColor
        Tires at full stuff and full droop.
    earth : QColor
        Below the ground line.
    wide, narrow : float
        Line widths, 2 : 1 as in ISO 128 [points].
    text : float
        Height of text [points].
    family : str
        Font; empty = the program's.

    """

    colours: Colours
    tube: QColor
    tube_edge: QColor
    link: QColor
    axle: QColor
    tire: QColor
    tire_edge: QColor
    rim: QColor
    panel: QColor
    panel_edge: QColor
    ghost: QColor
    earth: QColor
    wide: float = 1.6
    narrow: float = 0.8
    text: float = SCREEN_TEXT
    family: str = ""


def _shade(name: str, alpha: int = 255) -> QColor:
    colour = QColor(name)
    colour.setAlpha(alpha)
    return colour


LIGHT_STYLE: Final = DrawStyle(
    colours=LIGHT,
    tube=_shade("#D3D8DC"),
    tube_edge=_shade("#2B3238"),
    link=_shade("#9FB4C4"),
    axle=_shade("#B9BEC3"),
    tire=_shade("#2B3238", 46),
    tire_edge=_shade("#14181C"),
    rim=_shade("#2B3238", 34),
    panel=_shade("#7B98AE", 44),
    panel_edge=_shade("#6B7F8E", 150),
    ghost=_shade("#5A646D"),
    earth=_shade("#7B858F", 40),
)

DARK_STYLE: Final = DrawStyle(
    colours=DARK,
    tube=_shade("#5B656E"),
    tube_edge=_shade("#D5DADF"),
    link=_shade("#47657B"),
    axle=_shade("#4A5259"),
    tire=_shade("#DCE2E8", 38),
    tire_edge=_shade("#F0F2F4"),
    rim=_shade("#DCE2E8", 26),
    panel=_shade("#8FB3CC", 36),
    panel_edge=_shade("#8FA6B7", 140),
    ghost=_shade("#9AA4AD"),
    earth=_shade("#8B959F", 36),
)

CONTRAST_STYLE: Final = replace(
    DARK_STYLE,
    colours=CONTRAST,
    tube=_shade("#3A3A3A"),
    tube_edge=_shade("#FFFFFF"),
    link=_shade("#264A66"),
    axle=_shade("#2E2E2E"),
    tire=_shade("#FFFFFF", 34),
    tire_edge=_shade("#FFFFFF"),
    ghost=_shade("#C8C8C8"),
    panel_edge=_shade("#C8C8C8", 190),
    wide=2.2,
    narrow=1.1,
)

BRIGHT_STYLE: Final = replace(
    LIGHT_STYLE,
    colours=BRIGHT,
    tube=_shade("#E6E9EB"),
    tube_edge=_shade("#000000"),
    tire_edge=_shade("#000000"),
    ghost=_shade("#3A4147"),
    panel_edge=_shade("#3A4147", 210),
    wide=2.6,
    narrow=1.3,
    text=13.0,
)

PRINT_STYLE: Final = replace(
    LIGHT_STYLE,
    tube=_shade("#E6E9EB"),
    tube_edge=_shade("#000000"),
    tire_edge=_shade("#000000"),
    ghost=_shade("#404040"),
    earth=_shade("#000000", 18),
)
"""For paper and files: dark on white, readable without colour."""


_SCREEN: Final = {style.colours.name: style for style in (LIGHT_STYLE, DARK_STYLE, CONTRAST_STYLE, BRIGHT_STYLE)}


def screen_style(colours: Colours) -> DrawStyle:
    """The drawing style that goes with a theme on screen."""
    return _SCREEN[colours.name]
