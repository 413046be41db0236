"""Set a label's text in the room that its form leaves."""

from collections.abc import Iterator
from dataclasses import replace

from kb.gear import codes
from kb.labels import text
from kb.labels.form import LINE_PITCH, Form
from kb.labels.marks import Box, Line
from kb.labels.text import Face, LabelText

_NAME_SHRINK = (1.0, 0.85, 0.7)
_NAME_LINES = 3
_SMALL = 0.7
_PAD = 0.3  # em of a box on either side of its line

_Row = tuple[str, float, bool]  # text, capital height, bold


def typeset(label: LabelText, form: Form, face: Face, *, boxed: bool = False) -> tuple[Line, ...]:
    """Return the label's lines: name, code, end of the cable, then what has room.

    Args:
        label: What it says.
        form: How it's divided.
        face: The typeface.
        boxed: Whether the lines that are never cut stand white in black boxes.
    """
    room = int(form.text.height / (form.cap * LINE_PITCH) + 1e-9)
    fixed = [(line, form.whole, True) for line in whole_lines(label)]
    name = text.printable(label.name, face)
    rows = [*_name(name, room - len(fixed), form, face), *fixed]
    rows += [_more(line, form, face) for line in label.lines[: room - len(rows)]]
    placed = _placed(rows, form, face)
    kept = {line for line, _cap, _bold in fixed} if boxed else set()
    return tuple(_boxed(line, form, face) if line.text in kept else line for line in placed)


def whole_lines(label: LabelText) -> tuple[str, ...]:
    """Return the lines that are never cut: the code, and the end of a cable."""
    code = codes.shown(label.code)
    return (code, f"end {label.end}") if label.end else (code,)


def _name(words: str, most: int, form: Form, face: Face) -> list[_Row]:
    """Return the name whole if it can be, smaller or on more lines; else cut."""
    rows: list[_Row] = []
    for share in _NAME_SHRINK:
        cap = max(form.cap * share, form.least)
        broken = text.wrap(words, min(most, _NAME_LINES), _fits(cap, form, face, bold=True))
        rows = [(line, cap, True) for line in broken]
        if not broken or not broken[-1].endswith(text.ELLIPSIS):
            break
    return rows


def _more(words: str, form: Form, face: Face) -> _Row:
    """Return one line of what else the label says, cut if need be."""
    cap = max(form.cap * _SMALL, form.least)
    clean = text.printable(words, face)
    return text.cut(clean, _fits(cap, form, face, bold=False)), cap, False


def _fits(cap: float, form: Form, face: Face, *, bold: bool) -> text.Fits:
    limit = form.text.width * face.cap / cap
    return lambda words: face.width(words, bold=bold) <= limit


def _placed(rows: list[_Row], form: Form, face: Face) -> Iterator[Line]:
    """Give the rows their places: a block centred beside the symbol, or centred lines under it."""
    top = form.text.top
    if form.beside:
        top += (form.text.height - sum(cap for _, cap, _ in rows) * LINE_PITCH) / 2
    for words, cap, bold in rows:
        em = cap / face.cap
        left = form.text.left
        if not form.beside:
            left += (form.text.width - face.width(words, bold=bold) * em) / 2
        yield Line(left, top + cap * (LINE_PITCH + 1) / 2, em, words, bold)
        top += cap * LINE_PITCH


def _boxed(line: Line, form: Form, face: Face) -> Line:
    """Return the line in a black box that takes the height of its row."""
    cap = face.cap
    wide = face.width(line.text, bold=line.bold) + 2 * _PAD
    box = Box(_PAD, cap * (LINE_PITCH + 1) / 2, wide, cap * LINE_PITCH)
    shift = _PAD * line.em if form.beside else 0.0
    return replace(line, left=line.left + shift, box=box)
