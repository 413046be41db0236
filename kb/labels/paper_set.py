"""Words set in lines: a block of a paper, broken to its width."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from kb.labels import text
from kb.labels.marks import Line
from kb.labels.paper_text import Block
from kb.labels.text import Face

LEADING = 1.32  # of the type
_GAP = 2.2  # between a bar and its text
_ASCENT = 0.95  # from the top of a line to its baseline, of the type


@dataclass(frozen=True, eq=False)
class KeptFace:
    """A typeface that remembers how wide words run: a page is tried in several sizes."""

    face: Face
    widths: dict[tuple[str, bool], float] = field(default_factory=dict)

    @property
    def cap(self) -> float:
        """The height of a capital letter, in em."""
        return self.face.cap

    def has(self, character: str) -> bool:
        """Tell whether the face can draw the character."""
        return self.face.has(character)

    def width(self, text: str, *, bold: bool) -> float:
        """Return how wide the text runs, in em."""
        key = text, bold
        if key not in self.widths:
            self.widths[key] = self.face.width(text, bold=bold)
        return self.widths[key]


@dataclass(frozen=True)
class Measure:
    """How a page's text is set.

    Attributes:
        width: Of the column, in millimetres.
        em: The size of the type, in millimetres.
        face: The typeface.
    """

    width: float
    em: float
    face: KeptFace

    @property
    def line(self) -> float:
        """From one line to the next."""
        return self.em * LEADING

    def runs(self, words: str, em: float, *, bold: bool) -> float:
        """Return how wide words run, in millimetres."""
        return self.face.width(words, bold=bold) * em


@dataclass(frozen=True)
class Set:
    """A block in lines, which count from its own top left.

    Attributes:
        block: What is set.
        lines: Its lines.
        height: Of all lines.
        space: The room above, which falls away at the top of a page.
    """

    block: Block
    lines: tuple[Line, ...]
    height: float
    space: float


def typeset(block: Block, measure: Measure) -> Set:
    """Return a block in lines that fit the column."""
    em = measure.em * block.size
    left = block.indent + (block.bar + _GAP if block.bar else 0.0)
    lines: list[Line] = []
    top = 0.0
    for row in _rows(_words(block, measure.face), measure, em, measure.width - left):
        lines += _joined(row, left, top + _ASCENT * em)
        top += em * LEADING
    if block.mark and lines:
        lines.insert(0, Line(left - block.indent, lines[0].baseline, em, block.mark, bold=False))
    return Set(block, tuple(lines), top, block.space * measure.line)


_Word = tuple[str, bool]


@lru_cache(maxsize=2_000)
def _words(block: Block, face: KeptFace) -> tuple[_Word, ...]:
    return tuple(
        (word, bold) for words, bold in block.runs for word in text.printable(words, face).split()
    )


def _rows(
    words: Iterable[_Word], measure: Measure, em: float, width: float
) -> Iterator[list[tuple[float, float, _Word]]]:
    """Yield rows of words, each with its left edge and the type."""
    row: list[tuple[float, float, _Word]] = []
    at = 0.0
    gap = measure.runs(" ", em, bold=False)
    for word, bold in words:
        for piece in _pieces(word, measure, em, width, bold=bold):
            wide = measure.runs(piece, em, bold=bold)
            if row and at + wide > width:
                yield row
                row, at = [], 0.0
            row.append((at, em, (piece, bold)))
            at += wide + gap
    if row:
        yield row


def _pieces(word: str, measure: Measure, em: float, width: float, *, bold: bool) -> Iterator[str]:
    """Yield a word whole, or in pieces where it's wider than the column."""
    while measure.runs(word, em, bold=bold) > width:
        kept = len(word) - 1
        while kept > 1 and measure.runs(word[:kept], em, bold=bold) > width:
            kept -= 1
        yield word[:kept]
        word = word[kept:]
    yield word


def _joined(row: list[tuple[float, float, _Word]], left: float, baseline: float) -> Iterator[Line]:
    """Yield a row as lines: neighbours of one weight are one text."""
    start = 0
    for number in range(1, len(row) + 1):
        if number == len(row) or row[number][2][1] != row[start][2][1]:
            words = " ".join(word for _at, _em, (word, _bold) in row[start:number])
            at, em, (_word, bold) = row[start]
            yield Line(left + at, baseline, em, words, bold)
            start = number
