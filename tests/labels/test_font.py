"""The typeface is measured as it is drawn."""

import itertools

import pytest
from PIL import ImageFont

from kb.gear import codes
from kb.labels import font, scripts, text
from kb.labels.font import DejaVuFace


@pytest.mark.parametrize("name", [font.REGULAR, font.BOLD])
def test_capital_height_is_that_of_the_drawn_letter(name: str, face: DejaVuFace) -> None:
    drawn = ImageFont.truetype(font.path(name), 2000, layout_engine=ImageFont.Layout.BASIC)
    _, top, _, bottom = drawn.getbbox("H", anchor="ls")
    assert (bottom - top) / 2000 == pytest.approx(face.cap, abs=0.001)


@pytest.mark.parametrize(("name", "bold"), [(font.REGULAR, False), (font.BOLD, True)])
def test_width_is_that_of_another_typesetter(name: str, *, bold: bool, face: DejaVuFace) -> None:
    drawn = ImageFont.truetype(font.path(name), 2000, layout_engine=ImageFont.Layout.BASIC)
    words = "K7M 4XV end"
    assert face.width(words, bold=bold) == pytest.approx(drawn.getlength(words) / 2000, abs=0.01)


def test_every_character_of_a_code_can_be_drawn(face: DejaVuFace) -> None:
    assert all(face.has(character) for character in codes.ALPHABET + " endAB?" + text.ELLIPSIS)


@pytest.mark.parametrize("character", ["\u4e2d", "\U0001f3a5", "\uffff"])
def test_missing_characters_are_known(character: str, face: DejaVuFace) -> None:
    assert not face.has(character)


@pytest.mark.parametrize(
    "words",
    [
        "\u0141\u00f3d\u017a",
        "\u05de\u05e7\u05dc\u05d8",
        "\u0643\u0627\u0645\u064a\u0631\u0627",
        "\U0001f600",
    ],
)
def test_names_of_many_scripts_can_be_drawn(words: str, face: DejaVuFace) -> None:
    assert all(face.has(character) for character in words + scripts.drawn(words))


def test_letters_that_are_joined_are_all_in_the_face(face: DejaVuFace) -> None:
    letters = [chr(number) for number in range(0x620, 0x6FF) if face.has(chr(number))]
    for letter, count in itertools.product(letters, (1, 2, 3)):
        assert all(face.has(shape) for shape in scripts.drawn("\u0644" + letter * count))
