"""The answer in one sentence, always in sight, and never an old one passed off as new."""

from __future__ import annotations

from time import monotonic
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QFont, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QSizePolicy, QWidget

from app.document import Document
from app.panels.holders import Scrolled
from app.panels.symbols import draw_verdict
from app.rule_book import RuleBook
from app.theme import colours
from app.typeset import typeset
from app.units import format_length
from app.width_rules import broken_sentence
from app.wording import verdict_sentence, verdict_words
from geometry.contact.findings import Verdict

ANNOUNCE_MS: Final = 1000
"""A changed verdict is read out at most this often [ms]."""

LARGEST: Final = 15.0
"""Up to here the sentence is larger than other texts [pt]; texts that are larger by themselves need no more."""

SHARE: Final = 0.33
"""Of the window's height that the sentence takes at most."""

PROGRESS_MS: Final = 1000
"""Progress is shown for searches that take longer than this [ms]."""


class VerdictLine(QWidget):
    """Symbol, colour and sentence for what is shown now; says that it is checking while there is no answer."""

    def __init__(self, document: Document, book: RuleBook | None = None) -> None:
        super().__init__()
        self._document = document
        self._book = book = book or RuleBook(document)
        self._problem = (0, "")
        self._announced = ""
        self._announced_at = 0.0
        self.symbol = VerdictSymbol()
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        self.sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.sentence.setAccessibleDescription("Verdict")
        large = QFont(self.font())
        large.setPointSizeF(max(large.pointSizeF(), min(large.pointSizeF() * 1.35, LARGEST)))
        large.setBold(True)
        self.sentence.setFont(large)
        self.sentence.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setFixedSize(120, 18)
        self.progress.setAccessibleName("Progress of the check")
        self.progress.hide()
        self.checking = QLabel("checking…")
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 4, 12, 4)
        row.setSpacing(12)
        row.addWidget(self.symbol)
        self._room = Scrolled(self.sentence, "Verdict", QSize(120, 30))
        for part in (self._room.viewport(), self.sentence):
            part.setAutoFillBackground(False)
        row.addWidget(self._room, 1)
        row.addWidget(self.checking)
        row.addWidget(self.progress)
        self._late = QTimer(self, singleShot=True, interval=PROGRESS_MS)
        self._late.timeout.connect(self.progress.show)
        self._voice = QTimer(self, singleShot=True)
        self._voice.timeout.connect(self._announce)
        self._soon = QTimer(self, singleShot=True, interval=0)
        self._soon.timeout.connect(self.refresh)
        document.rig_changed.connect(self._refresh_soon)
        for signal in (document.study_finished, document.unit_changed, book.switched):
            signal.connect(self.refresh)
        self.refresh()

    def show_problem(self, revision: int, problem: str) -> None:
        """Say why there is no answer for a revision."""
        self._problem = (revision, problem)
        self.refresh()

    def show_progress(self, share: float) -> None:
        """Show how far the running check is, once it takes long."""
        self.progress.setValue(round(100.0 * share))

    def _refresh_soon(self) -> None:
        """In a gesture the answer mostly comes before the next painting: until then there is nothing to say."""
        if self._document.is_previewing:
            self._soon.start()
        else:
            self.refresh()

    def catch_up(self) -> None:
        """Say at once what was put off; to be called before painting."""
        if self._soon.isActive():
            self.refresh()

    def refresh(self) -> None:
        """Take the answer from the document anew."""
        self._soon.stop()
        document = self._document
        study, last, unit = document.study, document.last_study, document.unit
        revision, problem = self._problem
        if study is not None:
            self._show(
                f"{verdict_sentence(study, unit, off=self._book.off)}{self._broken_words()}", study.overall, stale=False
            )
        elif problem and revision == document.revision:
            self._show(f"Not established: {problem}", Verdict.UNKNOWN, stale=False)
        elif document.is_previewing and last is not None and document.active_axle in {a.id for a in last.rig.axles}:
            width = format_length(last.rig.axle(document.active_axle).width, unit)
            self._show(f"At {width}: {verdict_sentence(last, unit)}", last.overall, stale=True)
        else:
            self._show("Checking the whole travel…", None, stale=True)

    def _broken_words(self) -> str:
        """The rules beside clearance that are broken, as a short sentence behind the verdict."""
        rig = self._document.shown_rig
        words = broken_sentence(rig, {axle.id: self._book.broken(axle.id) for axle in rig.axles})
        return f" {words}".rstrip()

    def _show(self, sentence: str, verdict: Verdict | None, *, stale: bool) -> None:
        self.sentence.setText(typeset(sentence))
        self._keep_room()
        self.sentence.setEnabled(not stale)
        self.symbol.show_verdict(verdict)
        self.checking.setVisible(stale)
        self.update()
        if stale:
            if not self._late.isActive() and not self.progress.isVisible():
                self.progress.setValue(0)
                self._late.start()
            return
        self._late.stop()
        self.progress.hide()
        if not self._voice.isActive():
            since = 1000.0 * (monotonic() - self._announced_at)
            self._voice.start(max(0, round(ANNOUNCE_MS - since)))

    def _announce(self) -> None:
        sentence = self.sentence.text()
        if sentence == self._announced or not self.sentence.isEnabled():
            return
        self._announced, self._announced_at = sentence, monotonic()
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, sentence))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._keep_room()

    def _keep_room(self) -> None:
        """All lines of the sentence have room, up to a share of the window; from there on they are scrolled."""
        margins, line = 10, self.sentence.fontMetrics().height()
        wanted = self.sentence.heightForWidth(self._room.viewport().width())
        most = max(2 * line, round(SHARE * self.window().height()))
        self.setFixedHeight(margins + min(max(2 * line + 4, wanted), most))

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        names = colours(self.palette())
        painter = QPainter(self)
        painter.fillRect(self.rect(), names.sheet)
        verdict = self.symbol.verdict
        band = names.line if verdict is None else names.of_verdict(verdict)
        painter.fillRect(QRectF(0.0, 0.0, 6.0, self.height()), band)
        painter.fillRect(QRectF(0.0, self.height() - 2.0, self.width(), 2.0), band)
        painter.end()


class VerdictSymbol(QWidget):
    """The verdict's shape, or three dots while there is none."""

    def __init__(self) -> None:
        super().__init__()
        self.verdict: Verdict | None = None
        self.setFixedSize(34, 34)

    def show_verdict(self, verdict: Verdict | None, *, words: str = "") -> None:
        """Show another verdict; None = being checked. `words` say it in place of the verdict's own."""
        self.verdict = verdict
        self.setAccessibleName(words or ("being checked" if verdict is None else verdict_words(verdict)))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        names = colours(self.palette())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.verdict is not None:
            draw_verdict(painter, QRectF(self.rect()).adjusted(1.0, 1.0, -1.0, -1.0), self.verdict, names)
        else:
            painter.setPen(QPen(names.quiet, 5.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            for x in (7.0, 17.0, 27.0):
                painter.drawPoint(round(x), 17)
        painter.end()
