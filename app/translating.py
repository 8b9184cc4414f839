"""Words in another language: Qt's translations, asked for in one place.

A text that goes through `tr` is looked up in the translation that `install` has loaded, by its English words; without
one it stays as it is. Menus and their commands go through it. See DEVELOPERS.md for what does not yet.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QCoreApplication, QLocale, QTranslator

from app.files.assets import asset_path

CONTEXT: Final = "Wheelroom"
"""Where Qt's tools put our texts, apart from those of Qt itself."""

LONGER: Final = 0.3
"""By how much texts of other languages are longer than English ones, as a share."""

_MARKED: Final = str.maketrans("AaEeIiOoUu", "ÅåÉéÎîØøÛû")


def tr(text: str) -> str:
    """The text in the language of the program."""
    return QCoreApplication.translate(CONTEXT, text)


def install(app: QCoreApplication, locale: QLocale | None = None) -> bool:
    """Load the translation for a language, that of the system if none is given; False = there is none, texts stay."""
    translator = QTranslator(app)
    try:
        folder = asset_path("translations")
    except FileNotFoundError:
        return False
    return translator.load(locale or QLocale(), "wheelroom", "_", str(folder)) and app.installTranslator(translator)


class Pseudo(QTranslator):
    """A language for tests: each of our texts in brackets, with strange vowels, and longer, so that it shows."""

    def translate(
        self,
        context: str,
        sourceText: str,  # noqa: N803  (Qt's own name)
        disambiguation: str | None = None,
        n: int = -1,
    ) -> str:
        """The text made strange; Qt's own texts stay."""
        del disambiguation, n
        if context != CONTEXT:
            return None  # type: ignore[return-value]  # no text: an empty one would be a translation
        return f"[{sourceText.translate(_MARKED)}{'~' * round(LONGER * len(sourceText))}]"

    def isEmpty(self) -> bool:
        """It has an answer for everything."""
        return False
