from __future__ import annotations

import pytest

from app.canvas.pens import font, lines_within, text_size
from app.canvas.style import LIGHT_STYLE


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("width", [60.0, 120.0, 400.0])
def test_a_text_is_broken_between_words_and_loses_none(width: float) -> None:
    text, face = "hollow mark: worst in another pose", font(LIGHT_STYLE)
    lines = lines_within(text, face, width)
    assert " ".join(lines) == text
    assert all(text_size(line, face).width() <= width or " " not in line for line in lines)
    assert (len(lines) == 1) is (text_size(text, face).width() <= width)
