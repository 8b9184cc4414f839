"""A check that does not end in time: said, with a button that stops it, and what is known then is that nothing is."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, QTimer

from app.document import Document
from app.panels.notice_bar import NoticeBar
from app.searcher import Searcher

LONG_MS: Final = 5000
"""A check that takes longer than this is offered to be stopped [ms]: those of the demo rigs take a tenth of it."""

LONG: Final = "The check of this rig takes long. You can go on working, or stop it."
STOPPED: Final = "The check was stopped, so it is not known whether this rig clears."


class Patience(QObject):
    """Watches how long the check of what is shown takes."""

    def __init__(
        self, document: Document, searcher: Searcher, notice: NoticeBar, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._searcher, self._notice = document, searcher, notice
        self._is_said = False
        self.timer = QTimer(self, interval=LONG_MS, singleShot=True)
        self.timer.timeout.connect(self._say)
        document.rig_changed.connect(self._begin)
        document.study_finished.connect(self._end)
        searcher.check_failed.connect(self._end)
        self._begin()

    def _begin(self) -> None:
        self._end()
        self.timer.start()

    def _end(self) -> None:
        self.timer.stop()
        if self._is_said:
            self._is_said = False
            self._notice.clear()

    def _say(self) -> None:
        if self._document.study is None and not self._document.is_previewing and self._searcher.is_checking:
            self._notice.say(LONG, {"Stop": self._stop})
            self._is_said = True

    def _stop(self) -> None:
        self._is_said = False  # the button has ended the notice
        self._searcher.stop_check()
        self._notice.say(STOPPED, {"Check again": self._again})
        self._is_said = True

    def _again(self) -> None:
        self._is_said = False
        self._searcher.check()
        self.timer.start()
