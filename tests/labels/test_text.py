"""Text is cut, broken and replaced so that it can be printed."""

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.labels import text
from kb.labels.font import DejaVuFace


@dataclass(frozen=True)
class PlainFace:
    """A face of equally wide characters that knows ASCII alone."""

    cap: float = 0.7

    def width(self, words: str, *, bold: bool) -> float:
        return len(words) * (0.7 if bold else 0.6)

    def has(self, character: str) -> bool:
        return character.isascii() and character.isprintable()


def up_to(most: int) -> text.Fits:
    return lambda words: len(words) <= most


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("CC-01", "CC-01"),
        ("Łódź, čistič, Ärmel, Ωμέγα, Щит", "Łódź, čistič, Ärmel, Ωμέγα, Щит"),
        ("\uff21\uff11", "A1"),  # wide letters have narrow ones for base
        ("cafe\u0301", "café"),  # composed first
        ("x\u0302y", "xy"),  # no letter of its own: the accent goes
        ("a\u2011b\u301cc", "a\u2011b-c"),
        ("camera \U0001f3a5", "camera ?"),
        ("\U0001f469\u200d\U0001f527 desk", "? desk"),  # one picture of several characters
        ("\u05de\u05e7\u05dc\u05d8 3", "\u05de\u05e7\u05dc\u05d8 3"),  # right to left
        ("\u6444\u5f71\u673a 3", "? 3"),
        ("\U0001f600 1", "\U0001f600 1"),
        ("soft\u00adhyphen", "softhyphen"),
        ("two\nlines\tand\u00a0more ", "two lines and more"),
        ("\uffff", "?"),
        ("", ""),
    ],
)
def test_what_the_typeface_lacks_is_replaced(written: str, printed: str, face: DejaVuFace) -> None:
    assert text.printable(written, face) == printed


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=20))
def test_printable_text_holds_only_what_the_face_draws(written: str) -> None:
    face = PlainFace()
    printed = text.printable(written, face)
    assert all(face.has(character) for character in printed)
    assert text.printable(printed, face) == printed


@pytest.mark.parametrize(
    ("written", "most", "width", "expected"),
    [
        ("HD-01", 2, 10, ("HD-01",)),
        ("stage left lead", 2, 10, ("stage left", "lead")),
        ("stage left lead", 1, 10, ("stage lef…",)),
        ("stage left lead", 3, 6, ("stage", "left", "lead")),
        ("stage left lead", 2, 6, ("stage", "left…")),
        ("multicore-stage", 2, 11, ("multicore-", "stage")),
        ("abcdefghijkl", 2, 5, ("abcde", "fghi…")),
        ("", 2, 5, ()),
        ("name", 0, 5, ()),
    ],
)
def test_text_is_broken_at_words_and_the_last_line_cut(
    written: str, most: int, width: int, expected: tuple[str, ...]
) -> None:
    assert text.wrap(written, most, up_to(width)) == expected


@settings(max_examples=60, deadline=None)
@given(st.text("ab -", max_size=60).map(str.strip), st.integers(1, 4), st.integers(2, 12))
def test_no_line_is_too_wide_and_nothing_is_lost_unmarked(
    written: str, most: int, width: int
) -> None:
    lines = text.wrap(written, most, up_to(width))
    assert len(lines) <= most
    assert all(len(line) <= width for line in lines)
    kept = "".join(lines).removesuffix(text.ELLIPSIS).replace(" ", "")
    assert written.replace(" ", "").startswith(kept)
    if not lines or not lines[-1].endswith(text.ELLIPSIS):
        assert kept == written.replace(" ", "")
