"""Light and dark: palettes for Qt's controls and our own named colours, in one place.

Clear and contact are blue and vermilion of the Okabe-Ito set, which stay apart under every common colour vision
deficiency; since they are alike in lightness, nothing rests on colour alone: a word and a shape always go with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from geometry.contact.findings import Verdict


class ThemeChoice(StrEnum):
    """What the builder asked for."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class Colours:
    """Colours by meaning.

    Attributes
    ----------
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


LIGHT = Colours(
    ground=QColor("#ECEEF0"),
    sheet=QColor("#FFFFFF"),
    raised=QColor("#F7F8F9"),
    ink=QColor("#14181C"),
    quiet=QColor("#4A535C"),
    line=QColor("#7B858F"),
    grid=QColor("#DCE0E4"),
    clear=QColor("#0072B2"),
    tight=QColor("#E69F00"),
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

DARK = Colours(
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


def colours(palette: QPalette) -> Colours:
    """The named colours that go with a widget's palette."""
    return DARK if palette.color(QPalette.ColorRole.Window).lightness() < 128 else LIGHT


def apply_theme(app: QApplication, choice: ThemeChoice) -> None:
    """Set the palette of the whole program; windows that are open repaint by themselves."""
    dark = choice is ThemeChoice.DARK or (choice is ThemeChoice.SYSTEM and system_is_dark())
    app.setPalette(_palette(DARK if dark else LIGHT))


def system_is_dark() -> bool:
    """Whether the desktop asks for a dark look."""
    return QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark


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
