"""The looks: palettes for Qt's controls and our own named colours, in one place.

Clear and contact are blue and vermilion of the Okabe-Ito set, which stay apart under every common colour vision
deficiency; since they are alike in lightness, nothing rests on colour alone: a word and a shape always go with it.
“Bright shop” is for glare: black on white with heavier lines. “High contrast” is white on black.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from geometry.contact.findings import Verdict


class ThemeChoice(StrEnum):
    """What the builder asked for."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"
    CONTRAST = "contrast"
    BRIGHT = "bright"


@dataclass(frozen=True, slots=True)
class Colours:
    """Colours by meaning.

    Attributes
    ----------
    name : str
    ground, sheet, raised : QColor
        Behind panels, behind drawings and fields, of controls.
    ink, quiet, line, grid : QColor
        Text and main lines, secondary text, frames, faint lines.
    clear, tight, contact, unknown : QColor
        The four verdicts, for bands and marks.
    problem : QColor
        Text that says what is wrong.
    on_verdict : QColor
        Symbols drawn on a verdict's colour.
    accent, on_accent : QColor
        Selection and handles, and text on them.
    window_fill, together : QColor
        The shades over widths that clear, and over those that satisfy all rules.
    trail, stability, pocket, perch : QColor
        Bounds of the width beside clearance, by what sets them.

    """

    name: str
    ground: QColor
    sheet: QColor
    raised: QColor
    ink: QColor
    quiet: QColor
    line: QColor
    grid: QColor
    clear: QColor
    tight: QColor
    contact: QColor
    unknown: QColor
    problem: QColor
    on_verdict: QColor
    accent: QColor
    on_accent: QColor
    window_fill: QColor
    together: QColor
    trail: QColor
    stability: QColor
    pocket: QColor
    perch: QColor

    def of_verdict(self, verdict: Verdict) -> QColor:
        """The colour that goes with a verdict."""
        return {
            Verdict.CONTACT: self.contact,
            Verdict.UNKNOWN: self.unknown,
            Verdict.TIGHT: self.tight,
            Verdict.CLEAR: self.clear,
        }[verdict]


LIGHT: Final = Colours(
    name="light",
    ground=QColor("#ECEEF0"),
    sheet=QColor("#FFFFFF"),
    raised=QColor("#F7F8F9"),
    ink=QColor("#14181C"),
    quiet=QColor("#4A535C"),
    line=QColor("#7B858F"),
    grid=QColor("#DCE0E4"),
    clear=QColor("#0072B2"),
    tight=QColor("#A96F00"),
    contact=QColor("#D55E00"),
    unknown=QColor("#6B737B"),
    problem=QColor("#9C3A00"),
    on_verdict=QColor("#FFFFFF"),
    accent=QColor("#005A8C"),
    on_accent=QColor("#FFFFFF"),
    window_fill=QColor("#CFE5F4"),
    together=QColor("#BFE3D3"),
    trail=QColor("#B0568A"),
    stability=QColor("#00805E"),
    pocket=QColor("#B44F00"),
    perch=QColor("#14181C"),
)

DARK: Final = Colours(
    name="dark",
    ground=QColor("#24282C"),
    sheet=QColor("#16191C"),
    raised=QColor("#30363B"),
    ink=QColor("#F0F2F4"),
    quiet=QColor("#B4BCC4"),
    line=QColor("#8B959F"),
    grid=QColor("#343B41"),
    clear=QColor("#56B4E9"),
    tight=QColor("#E69F00"),
    contact=QColor("#F0762B"),
    unknown=QColor("#9BA4AC"),
    problem=QColor("#FF9A5C"),
    on_verdict=QColor("#101214"),
    accent=QColor("#7CC4EE"),
    on_accent=QColor("#101214"),
    window_fill=QColor("#1B3F57"),
    together=QColor("#14503D"),
    trail=QColor("#CC79A7"),
    stability=QColor("#2CC596"),
    pocket=QColor("#E69F00"),
    perch=QColor("#F0F2F4"),
)


CONTRAST: Final = Colours(
    name="contrast",
    ground=QColor("#000000"),
    sheet=QColor("#000000"),
    raised=QColor("#1C1C1C"),
    ink=QColor("#FFFFFF"),
    quiet=QColor("#F0F0F0"),
    line=QColor("#C8C8C8"),
    grid=QColor("#4A4A4A"),
    clear=QColor("#6CC8FF"),
    tight=QColor("#FFD24A"),
    contact=QColor("#FF9A5C"),
    unknown=QColor("#E0E0E0"),
    problem=QColor("#FFB38A"),
    on_verdict=QColor("#000000"),
    accent=QColor("#FFE600"),
    on_accent=QColor("#000000"),
    window_fill=QColor("#00405F"),
    together=QColor("#00503A"),
    trail=QColor("#FFA6DA"),
    stability=QColor("#5CF0C4"),
    pocket=QColor("#FFC266"),
    perch=QColor("#FFFFFF"),
)

BRIGHT: Final = Colours(
    name="bright",
    ground=QColor("#FFFFFF"),
    sheet=QColor("#FFFFFF"),
    raised=QColor("#F0F0F0"),
    ink=QColor("#000000"),
    quiet=QColor("#22282D"),
    line=QColor("#4A5258"),
    grid=QColor("#B4BCC4"),
    clear=QColor("#004F80"),
    tight=QColor("#8A5800"),
    contact=QColor("#A83A00"),
    unknown=QColor("#4A5258"),
    problem=QColor("#8A2A00"),
    on_verdict=QColor("#FFFFFF"),
    accent=QColor("#003E66"),
    on_accent=QColor("#FFFFFF"),
    window_fill=QColor("#BFDDF2"),
    together=QColor("#A9DCC4"),
    trail=QColor("#8A2F68"),
    stability=QColor("#00604A"),
    pocket=QColor("#7A3000"),
    perch=QColor("#000000"),
)

THEMES: Final = (LIGHT, DARK, CONTRAST, BRIGHT)

OUTLINED: Final = (
    "QPushButton",
    "QToolButton",
    "QCheckBox",
    "QRadioButton",
    "QLineEdit",
    "QComboBox",
    "QAbstractSpinBox",
    "QSlider",
)
"""Controls whose outline is all that shows where they are."""


def colours(palette: QPalette) -> Colours:
    """The named colours that go with a widget's palette."""
    accent = palette.color(QPalette.ColorRole.Highlight).rgb()
    for theme in THEMES:
        if theme.accent.rgb() == accent:
            return theme
    return DARK if palette.color(QPalette.ColorRole.Window).lightness() < 128 else LIGHT


def apply_theme(app: QApplication, choice: ThemeChoice) -> None:
    """Set the palette of the whole program; windows that are open repaint by themselves."""
    names = system_theme() if choice is ThemeChoice.SYSTEM else _CHOSEN[choice]
    palette = _palette(names)
    app.setPalette(palette)
    # Fusion draws outlines in the colour of the window, made darker by 1.4: too faint for 3 : 1, and nothing on black.
    palette.setColor(QPalette.ColorRole.Window, names.line.lighter(140))
    for control in OUTLINED:
        app.setPalette(palette, control)  # type: ignore[arg-type]  # its stub says bytes, it takes str


_CHOSEN: Final = {
    ThemeChoice.LIGHT: LIGHT,
    ThemeChoice.DARK: DARK,
    ThemeChoice.CONTRAST: CONTRAST,
    ThemeChoice.BRIGHT: BRIGHT,
}


def system_theme() -> Colours:
    """The look that the desktop asks for."""
    hints = QGuiApplication.styleHints()
    dark = hints.colorScheme() == Qt.ColorScheme.Dark
    if hints.accessibility().contrastPreference() == Qt.ContrastPreference.HighContrast:
        return CONTRAST if dark else BRIGHT
    return DARK if dark else LIGHT


def _palette(names: Colours) -> QPalette:
    role = QPalette.ColorRole
    palette = QPalette(names.raised, names.ground)
    for one, colour in {
        role.Window: names.ground,
        role.WindowText: names.ink,
        role.Base: names.sheet,
        role.AlternateBase: names.raised,
        role.Text: names.ink,
        role.PlaceholderText: names.quiet,
        role.Button: names.raised,
        role.ButtonText: names.ink,
        role.ToolTipBase: names.sheet,
        role.ToolTipText: names.ink,
        role.Highlight: names.accent,
        role.HighlightedText: names.on_accent,
        role.Link: names.accent,
        role.LinkVisited: names.accent,
        role.Accent: names.accent,
    }.items():
        palette.setColor(one, colour)
    for one in (role.Text, role.WindowText, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, one, names.line)
    palette.setColor(QPalette.ColorGroup.Disabled, role.Base, names.ground)  # a field that waits looks like it
    return palette
