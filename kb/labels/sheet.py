"""Where each label falls: from labels and a stock to pages of symbols and text.

A cable's label is a flag where the stock makes flags: the same face twice, left and right of a
strip that goes round the cable; on a stock of wraps it goes round the cable itself.
"""

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from kb.errors import InvalidError, Problem
from kb.labels import kinds, lines, qr, text, wraps
from kb.labels.form import HAND, Form, cap_heights
from kb.labels.kinds import Job, Kind
from kb.labels.marks import MM_PER_INCH, Line, Page, Sheet, Symbol, Tick
from kb.labels.stock import Stock
from kb.labels.text import Face, LabelText
from kb.labels.wishes import PLAIN, Wishes

Told = Callable[[int], object]


def lay_out(
    labels: Sequence[LabelText],
    stock: Stock,
    host: str,
    face: Face,
    wishes: Wishes = PLAIN,
    told: Told = lambda _done: None,
) -> Sheet:
    """Return the pages that carry the labels, in the order given.

    Args:
        labels: What each label says.
        stock: What they're printed on.
        host: Where the web pages are reached; the symbols hold addresses there.
        face: The typeface of the text.
        wishes: What else was chosen.
        told: Called with how many more labels are done.

    Raises:
        InvalidError: When there's no label, the host is wrong, a wish can't be, or a symbol can't
            fit.
    """
    if not labels:
        raise InvalidError(
            [Problem("labels", "there is nothing to label. Name an item, or take all of them.")]
        )
    wishes.require_possible(stock)
    addresses = {label.code: qr.address(host, label.code) for label in labels}
    job = Job(stock, face, wishes, addresses)
    of = _kinds(labels, job)
    pages = tuple(_pages(labels, of, job, told))
    notes = [note for kind in of.values() for note in kind.notes]
    notes += [note for label in labels for note in _notes(label, face)]
    return Sheet(
        stock.page_width, stock.page_height, stock.dpi, pages, tuple(dict.fromkeys(notes))
    )


def _kinds(labels: Sequence[LabelText], job: Job) -> dict[kinds.Key, Kind]:
    """Return how the labels of each kind look."""
    sorted_: dict[kinds.Key, list[LabelText]] = {}
    for label in labels:
        sorted_.setdefault(kinds.key_of(label, job.stock), []).append(label)
    try:
        return {key: kinds.kind_of(key, mine, job) for key, mine in sorted_.items()}
    except InvalidError as error:
        able = _smallest_that_can(labels, job)
        if able is None:
            raise
        message = f"The smallest stock on file that can is {able}."
        raise InvalidError([*error.problems, Problem("stock", message)]) from None


def _smallest_that_can(labels: Sequence[LabelText], job: Job) -> str | None:
    """Return the name of the stock with the smallest labels on which all of them fit."""
    for other in sorted(job.wishes.others, key=lambda one: one.label_width * one.label_height):
        try:
            _kinds(labels, replace(job, stock=other, wishes=replace(job.wishes, others=())))
        except InvalidError:
            continue
        return other.name
    return None


def _pages(
    labels: Sequence[LabelText], of: dict[kinds.Key, Kind], job: Job, told: Told
) -> Iterator[Page]:
    """Give the pages, the first one begun where it was wished."""
    corners = [(x + job.wishes.right, y + job.wishes.down) for x, y in job.stock.corners()]
    left, begun = list(labels), job.wishes.start - 1
    while left:
        free = corners[begun:]
        now, left, begun = left[: len(free)], left[len(free) :], 0
        yield _joined(
            _drawn(label, corner, of[kinds.key_of(label, job.stock)], job)
            for label, corner in zip(now, free, strict=False)
        )
        told(len(now))


def _drawn(label: LabelText, corner: tuple[float, float], kind: Kind, job: Job) -> Page:
    """Return the label's marks where they stand on the page."""
    x, y = corner
    fitted = kind.form
    if fitted is None:
        least = cap_heights(job.wishes.distance or HAND)[0]
        said: Iterable[Line] = wraps.typeset(label, kind.room, job.face, least)
        return Page((), tuple(_moved(line, x, y) for line in said), ())
    said = lines.typeset(label, fitted, job.face, boxed=job.wishes.boxed)
    return Page(
        symbols=tuple(_symbol(label, x + shift, y, fitted, kind, job) for shift in kind.faces),
        lines=tuple(_moved(line, x + shift, y) for shift in kind.faces for line in said),
        ticks=tuple(Tick(x + tick.left, y + tick.top, tick.length) for tick in kind.ticks),
    )


def _symbol(label: LabelText, x: float, y: float, fitted: Form, kind: Kind, job: Job) -> Symbol:
    """Return the symbol on the whole dots nearest to where the form has it."""
    dots_per_mm = job.stock.dpi / MM_PER_INCH
    quiet = qr.QUIET * fitted.dots
    address = job.addresses[label.code]
    return Symbol(
        left=round((x + fitted.symbol.left) * dots_per_mm) + quiet,
        top=round((y + fitted.symbol.top) * dots_per_mm) + quiet,
        dots=fitted.dots,
        modules=qr.modules(address, *kind.quality),
        address=address,
        label=", ".join(filter(None, (label.name, *lines.whole_lines(label)))),
    )


def _moved(line: Line, x: float, y: float) -> Line:
    return replace(line, left=line.left + x, baseline=line.baseline + y)


def _joined(parts: Iterable[Page]) -> Page:
    """Return one page that holds all the marks."""
    drawn = list(parts)
    return Page(
        symbols=tuple(symbol for part in drawn for symbol in part.symbols),
        lines=tuple(line for part in drawn for line in part.lines),
        ticks=tuple(tick for part in drawn for tick in part.ticks),
    )


def _notes(label: LabelText, face: Face) -> Iterator[str]:
    """Give a sentence for each text that can't be printed as it is written."""
    for written in (label.name, *label.lines):
        printed = text.printable(written, face)
        if printed != " ".join(unicodedata.normalize("NFC", written).split()):
            yield f"'{written}' is printed as '{printed}', the nearest the labels' typeface has."
