"""How large controls are: Qt's own drawing with a least size, for fingers and for gloves."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtCore import QSize
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QProxyStyle,
    QScrollBar,
    QStyle,
    QStyleOption,
    QTableView,
    QWidget,
)

USUAL: Final = 24
"""Least size of anything to hit [px], as in WCAG 2.2, 2.5.8."""
LARGE: Final = 40
"""The same where the builder asks for large controls [px]: for hands in gloves."""

_FIELDS: Final = (QAbstractButton, QComboBox, QLineEdit, QAbstractSpinBox, QAbstractSlider)
_BEFORE: Final = "sizes_before"
"""Property of a control that keeps its own least and greatest sizes."""


class ControlStyle(QProxyStyle):
    """Fusion with nothing to hit lower than `least` [px]."""

    def __init__(self, least: int) -> None:
        super().__init__("Fusion")
        self.least = least

    def sizeFromContents(
        self, kind: QStyle.ContentsType, option: QStyleOption, size: QSize, widget: QWidget | None = None
    ) -> QSize:
        """Lend height to what stays below the least; a bar of scrolling has its own measure."""
        wanted = super().sizeFromContents(kind, option, size, widget)  # type: ignore[arg-type]  # None is fine
        return wanted if kind in _NO_TARGETS else wanted.expandedTo(QSize(0, self.least))

    def polish(self, what: Any) -> Any:
        """Raise the sizes that a control was given by number, and the rows of tables."""
        if isinstance(what, _FIELDS) and not isinstance(what, QScrollBar):
            least, most = what.minimumSize(), what.maximumSize()
            what.setProperty(_BEFORE, (least, most))
            room = QSize(self.least if least.width() else 0, self.least)
            what.setMinimumSize(least.expandedTo(room))
            what.setMaximumSize(most.expandedTo(room))
        elif isinstance(what, QTableView):
            what.verticalHeader().setMinimumSectionSize(self.least)
        return super().polish(what)

    def unpolish(self, what: Any) -> None:
        """Give a control its own sizes back."""
        if isinstance(what, QWidget) and (before := what.property(_BEFORE)):
            what.setMinimumSize(before[0])
            what.setMaximumSize(before[1])
            what.setProperty(_BEFORE, None)
        super().unpolish(what)


_NO_TARGETS: Final = {
    QStyle.ContentsType.CT_ScrollBar,
    QStyle.ContentsType.CT_Splitter,
    QStyle.ContentsType.CT_ProgressBar,
    QStyle.ContentsType.CT_GroupBox,
    QStyle.ContentsType.CT_TabWidget,
    QStyle.ContentsType.CT_Menu,
    QStyle.ContentsType.CT_MenuBar,
    QStyle.ContentsType.CT_SizeGrip,
    QStyle.ContentsType.CT_MdiControls,
    QStyle.ContentsType.CT_DialogButtons,
}


def apply_controls(app: QApplication, *, large: bool) -> None:
    """Set the least size of the whole program's controls; windows that are open follow at once."""
    least = LARGE if large else USUAL
    style = app.style()
    if not isinstance(style, ControlStyle) or style.least != least:
        app.setStyle(ControlStyle(least))
