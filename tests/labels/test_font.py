"""The typeface is measured as it is drawn."""

import pytest
from PIL import ImageFont

from kb.gear import codes
from kb.labels import font, text
from kb.labels.font import VeraFace


@pytest.mark.parametrize("name", [font.REGULAR, font.BOLD])
def test_capital_height_is_that_of_the_drawn_letter(name: str, face: VeraFace) -> None:
    drawn = ImageFont.truetype(font.path(name), 2000, layout_engine=ImageFont.Layout.BASIC)
    _, top, _, bottom = drawn.getbbox("H", anchor="ls")
    assert (bottom - top) / 2000 == pytest.approx(face.cap, abs=0.001)


@pytest.mark.parametrize(("name", "bold"), [(font.REGULAR, False), (font.BOLD, True)])
def test_width_is_that_of_another_typesetter(name: str, *, bold: bool, face: VeraFace) -> None:
    drawn = ImageFont.truetype(font.path(name), 2000, layout_engine=ImageFont.Layout.BASIC)
    words = "K7M 4XV end"
    assert face.width(words, bold=bold) == pytest.approx(drawn.getlength(words) / 2000, abs=0.01)


def test_every_character_of_a_code_can_be_drawn(face: VeraFace) -> None:
    assert all(face.has(character) for character in codes.ALPHABET + " endAB?" + text.ELLIPSIS)


@pytest.mark.parametrize("character", ["\u017a", "\u05d0", "\u4e2d", "\U0001f3a5", "\uffff"])
def test_missing_characters_are_known(character: str, face: VeraFace) -> None:
    assert not face.has(character)
