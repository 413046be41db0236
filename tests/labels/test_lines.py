"""A label's text stays in its room, and the code is always whole."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.labels import form, lines
from kb.labels.font import DejaVuFace
from kb.labels.form import Form, Need, Room
from kb.labels.text import LabelText

WIDE, NARROW, STRIP = Room(1, 1, 61.5, 36.1), Room(1, 1, 17, 36.1), Room(1, 1, 40, 10)


def fitted(room: Room, face: DejaVuFace) -> Form:
    """Return the form for labels whose widest code is the widest there is."""
    widest = face.width("WWW WWW", bold=True)
    return form.fit(room, Need(modules=29, widest=widest, lines=3, cap=face.cap), 300)


def said(label: LabelText, room: Room, face: DejaVuFace) -> list[str]:
    return [line.text for line in lines.typeset(label, fitted(room, face), face)]


@pytest.mark.parametrize("room", [WIDE, NARROW])
def test_a_cables_label_says_name_code_and_end(room: Room, face: DejaVuFace) -> None:
    label = LabelText("K7M4XV", "HD-01", "B")
    assert said(label, room, face) == ["HD-01", "K7M 4XV", "end B"]


def test_further_lines_stand_last(face: DejaVuFace) -> None:
    label = LabelText("K7M4XV", "CC-01", lines=("call computer", "rack 1"))
    assert said(label, WIDE, face) == ["CC-01", "K7M 4XV", "call computer", "rack 1"]


def test_long_name_is_cut_and_keeps_the_code(face: DejaVuFace) -> None:
    label = LabelText("WWWWWW", ("a very long name " * 20)[:300], "A", lines=("rack 1",))
    for room in (WIDE, NARROW):
        words = said(label, room, face)
        code = words.index("WWW WWW")
        assert words[code + 1] == "end A"
        assert words[code - 1].endswith("…")


def test_name_shrinks_before_it_is_cut(face: DejaVuFace) -> None:
    made = fitted(STRIP, face)
    short, longer, longest = (
        lines.typeset(LabelText("K7M4XV", name, "A"), made, face)[0]
        for name in ("HD-01", "Stage left lead 12 red", "Stage left lead 12 of the multicore")
    )
    assert longer.text == "Stage left lead 12 red"
    assert longer.em < short.em
    assert longest.text.endswith("…")


def test_nameless_item_still_has_its_code(face: DejaVuFace) -> None:
    assert said(LabelText("K7M4XV", ""), WIDE, face) == ["K7M 4XV"]


@settings(max_examples=40, deadline=None)
@given(
    name=st.text("abc WMil-é\u05d0\U0001f3a5", max_size=300),
    room=st.sampled_from([WIDE, NARROW, STRIP]),
    end=st.sampled_from(["A", None]),
    more=st.lists(st.text("abc W", max_size=60), max_size=8),
)
def test_no_text_leaves_its_room(
    name: str, room: Room, end: str | None, more: list[str], face: DejaVuFace
) -> None:
    made = fitted(room, face)
    label = LabelText("K7M4XV", name, "A" if end else None, tuple(more))
    drawn = lines.typeset(label, made, face)
    assert "K7M 4XV" in [line.text for line in drawn]
    assert ("end A" in [line.text for line in drawn]) == bool(end)
    bottom = made.text.top
    for line in drawn:
        right = line.left + face.width(line.text, bold=line.bold) * line.em
        assert line.left >= made.text.left - 1e-6
        assert right <= made.text.left + made.text.width + 1e-6
        assert line.baseline - face.cap * line.em >= bottom - 1e-6  # capitals clear the line above
        bottom = line.baseline
    assert bottom <= made.text.top + made.text.height + 1e-6


def test_least_text_is_still_read_in_the_hand(face: DejaVuFace) -> None:
    drawn = lines.typeset(
        LabelText("WWWWWW", "x" * 300, "A", ("y" * 99,)), fitted(NARROW, face), face
    )
    assert all(line.em * face.cap >= form.cap_heights(form.HAND)[0] - 1e-9 for line in drawn)
