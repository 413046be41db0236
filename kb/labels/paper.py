"""Entries on paper for the rack door: A4 pages, each entry from the top of one.

An entry takes one page or two: the type is as large as that allows, and never smaller than can
be read at arm's length.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kb.errors import InvalidError, Problem
from kb.labels import paper_set, paper_text, qr
from kb.labels.form import DESK, cap_heights
from kb.labels.marks import MM_PER_INCH, Bar, Line, Page, Sheet, Symbol
from kb.labels.paper_set import KeptFace, Measure, Set
from kb.labels.paper_text import Block, Paper
from kb.labels.text import Face

WIDTH, HEIGHT = 210.0, 297.0  # A4, ISO 216
DPI = 300
_LEFT, _RIGHT, _TOP, _BOTTOM = 20.0, 15.0, 13.0, 18.0  # room for holes at the left
_COLUMN = WIDTH - _LEFT - _RIGHT
_DOTS = 7  # a module of 0.6 mm
_LARGEST, _STEPS = 3.9, 12  # the type in millimetres, and how many smaller ones are tried
_MOST_PAGES = 2
_TITLE, _SMALL = 1.7, 0.85
_RULE, _AIR, _FOOT = 0.3, 3.0, 10.0

_Placed = tuple[float, Set]  # how far down the page


@dataclass(frozen=True)
class _Head:
    """What stands at the top of an entry's first page.

    Attributes:
        symbol: What a phone opens the live page by.
        lines: Area, title, address.
        bottom: Where the rest begins.
    """

    symbol: Symbol
    lines: tuple[Line, ...]
    bottom: float


def lay_out(papers: Sequence[Paper], host: str, face: Face) -> Sheet:
    """Return the pages of these entries, in the order given.

    Args:
        papers: What is printed.
        host: Where the web pages are reached; each symbol opens the entry there.
        face: The typeface.

    Raises:
        InvalidError: There is no entry, or the host is wrong.
    """
    if not papers:
        raise InvalidError([Problem("entries", "there is none to print. Name one, or a set.")])
    kept = KeptFace(face)
    pages = [page for paper in papers for page in _pages(paper, host, kept)]
    title = papers[0].entry.title if len(papers) == 1 else "Entries"
    return Sheet(WIDTH, HEIGHT, DPI, tuple(pages), (), title)


def _pages(paper: Paper, host: str, face: KeptFace) -> tuple[Page, ...]:
    """Return the pages of one entry, in the largest type in which it's short enough."""
    symbol = _symbol(qr.page_address(host, f"entries/{paper.entry.slug}"), paper.entry.title)
    least = cap_heights(DESK)[0] / face.cap
    for step in range(_STEPS + 1):
        measure = Measure(_COLUMN, _LARGEST * (least / _LARGEST) ** (step / _STEPS), face)
        head = _head(paper, symbol, measure)
        for units in _units(paper, measure):
            filled = _filled(units, head.bottom, _TOP + 2 * measure.line + _AIR)
            if len(filled) <= _MOST_PAGES:
                return tuple(_drawn(filled, head, paper, measure))
    return tuple(_drawn(filled, head, paper, measure))


def _symbol(address: str, title: str) -> Symbol:
    """Return the symbol in the right upper corner."""
    modules = qr.modules(address, "M")
    right, top = (round(edge * DPI / MM_PER_INCH) for edge in (WIDTH - _RIGHT, _TOP))
    return Symbol(right - len(modules) * _DOTS, top, _DOTS, modules, address, title)


def _head(paper: Paper, symbol: Symbol, measure: Measure) -> _Head:
    """Return area, title and address beside the symbol."""
    dot = MM_PER_INCH / DPI
    quiet = qr.QUIET * symbol.dots * dot
    words = (
        (paper.entry.area.value, _SMALL, False),
        (paper.entry.title, _TITLE, True),
        (paper.status, _SMALL, True),
        (symbol.address, _SMALL, False),
    )
    beside = Measure(symbol.left * dot - quiet - _LEFT, measure.em, measure.face)
    lines: list[Line] = []
    top = _TOP
    for text, size, bold in words:
        made = paper_set.typeset(Block(((text, bold),), size=size), beside)
        lines += _moved(made.lines, top)
        top += made.height
    bottom = max(top, (symbol.top + symbol.side) * dot + quiet)
    return _Head(symbol, tuple(lines), bottom + _AIR)


def _units(paper: Paper, measure: Measure) -> Iterator[list[list[Set]]]:
    """Yield the ways to keep text together: whole sections, then no more than must be."""
    groups = [
        [paper_set.typeset(block, measure) for block in group]
        for group in paper_text.groups(paper)
    ]
    yield groups
    units: list[list[Set]] = []
    for group in groups:
        for number, made in enumerate(group):
            if number and group[number - 1].block.glued:
                units[-1].append(made)
            else:
                units.append([made])
    yield units


def _filled(units: Sequence[Sequence[Set]], first: float, later: float) -> list[list[_Placed]]:
    """Return pages, on each the blocks with how far down they stand.

    Args:
        units: What must not be parted.
        first: Where the text of the first page begins.
        later: Where it begins on the others.
    """
    pages: list[list[_Placed]] = [[]]
    top = first
    for unit in units:
        high = sum(made.space + made.height for made in unit)
        if pages[-1] and top + high > HEIGHT - _BOTTOM:
            pages.append([])
            top = later
        for made in unit:
            if pages[-1] and top + made.space + made.height > HEIGHT - _BOTTOM:
                pages.append([])  # longer than a page
                top = later
            top += made.space if pages[-1] else 0.0
            pages[-1].append((top, made))
            top += made.height
    return pages


def _drawn(
    filled: Sequence[Sequence[_Placed]], head: _Head, paper: Paper, measure: Measure
) -> Iterator[Page]:
    """Yield the pages with their heads and feet."""
    for number, placed in enumerate(filled, start=1):
        first = number == 1
        at = f"page {number} of {len(filled)}"
        yield Page(
            symbols=(head.symbol,) if first else (),
            lines=(
                *(head.lines if first else _running(paper, measure)),
                *(line for top, made in placed for line in _moved(made.lines, top)),
                *_foot(f"{paper.entry.slug}, {paper.revision}", at, measure),
            ),
            ticks=(),
            bars=(
                Bar(_LEFT, head.bottom - _AIR / 2, _COLUMN, _RULE)
                if first
                else Bar(_LEFT, _TOP + 1.6 * measure.line, _COLUMN, _RULE),
                *_bars(placed),
            ),
        )


def _running(paper: Paper, measure: Measure) -> Iterator[Line]:
    """Yield the title once more, for a second sheet that went astray."""
    block = Block(((paper.entry.title, True),))
    yield from _moved(paper_set.typeset(block, measure).lines[:1], _TOP)


def _foot(left: str, right: str, measure: Measure) -> Iterator[Line]:
    em = measure.em * _SMALL
    baseline = HEIGHT - _FOOT
    yield Line(_LEFT, baseline, em, left, bold=False)
    wide = measure.runs(right, em, bold=False)
    yield Line(WIDTH - _RIGHT - wide, baseline, em, right, bold=False)


def _bars(placed: Sequence[_Placed]) -> Iterator[Bar]:
    """Yield the bars beside blocks; between neighbours of one bar there is no gap."""
    before: Set | None = None
    for top, made in placed:
        bar = made.block.bar
        joined = made.space if before and before.block.bar == bar else 0.0
        if bar:
            yield Bar(_LEFT, top - joined, bar, made.height + joined)
        before = made


def _moved(lines: Sequence[Line], top: float) -> Iterator[Line]:
    """Yield lines of a block where they stand on the page."""
    for line in lines:
        yield Line(_LEFT + line.left, top + line.baseline, line.em, line.text, line.bold)
