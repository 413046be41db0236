"""Where each label falls: from labels and a stock to pages of symbols and text.

A cable's label is a flag where the stock makes flags: the same face twice, left and right of a
strip that goes round the cable.
"""

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kb.errors import InvalidError, Problem
from kb.labels import form, lines, qr, text
from kb.labels.form import Form, Need, Room
from kb.labels.marks import MM_PER_INCH, Line, Page, Sheet, Symbol, Tick
from kb.labels.qr import Matrix
from kb.labels.stock import Stock
from kb.labels.text import Face, LabelText

_TICK = 1.5


@dataclass(frozen=True)
class _Kind:
    """One kind of label: its form, its faces by how far right they're drawn, its fold marks."""

    form: Form
    faces: tuple[float, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class _Job:
    """What is the same for every label of a sheet."""

    stock: Stock
    face: Face
    addresses: Mapping[str, str]
    matrices: Mapping[str, Matrix]


def lay_out(labels: Sequence[LabelText], stock: Stock, host: str, face: Face) -> Sheet:
    """Return the pages that carry the labels, in the order given.

    Args:
        labels: What each label says.
        stock: What they're printed on.
        host: Where the web pages are reached; the symbols hold addresses there.
        face: The typeface of the text.

    Raises:
        InvalidError: When there's no label, the host is wrong, or a symbol can't fit.
    """
    if not labels:
        raise InvalidError(
            [Problem("labels", "there is no item to label. Name one, or take all of them.")]
        )
    addresses = {label.code: qr.address(host, label.code) for label in labels}
    matrices = {code: qr.modules(address) for code, address in addresses.items()}
    job = _Job(stock, face, addresses, matrices)
    kinds = {flag: _kind(labels, job, flag=flag) for flag in {_is_flag(x, stock) for x in labels}}
    corners = list(stock.corners())
    pages = []
    for start in range(0, len(labels), len(corners)):
        placed = zip(labels[start : start + len(corners)], corners, strict=False)
        pages.append(
            _joined(
                _drawn(label, corner, kinds[_is_flag(label, stock)], job)
                for label, corner in placed
            )
        )
    notes = dict.fromkeys(note for label in labels for note in _notes(label, face))
    return Sheet(stock.page_width, stock.page_height, stock.dpi, tuple(pages), tuple(notes))


def _is_flag(label: LabelText, stock: Stock) -> bool:
    return label.end is not None and stock.flag_face is not None


def _kind(labels: Sequence[LabelText], job: _Job, *, flag: bool) -> _Kind:
    """Return how all labels of one kind are laid out."""
    stock, face = job.stock, job.face
    mine = [label for label in labels if _is_flag(label, stock) is flag]
    need = Need(
        modules=len(job.matrices[mine[0].code]),
        widest=max(
            face.width(line, bold=True) for label in mine for line in lines.whole_lines(label)
        ),
        lines=1 + max(len(lines.whole_lines(label)) for label in mine),
        cap=face.cap,
    )
    width = stock.flag_face if flag and stock.flag_face else stock.label_width - stock.inset_x
    room = Room(
        stock.inset_x,
        stock.inset_y,
        width - stock.inset_x,
        stock.label_height - 2 * stock.inset_y,
    )
    fitted = form.fit(room, need, stock.dpi)
    if not flag:
        return _Kind(fitted, (0.0,), ())
    far = stock.label_width - width
    ticks = tuple(
        Tick(left, top, _TICK)
        for left in (width, far)
        for top in (stock.inset_y, stock.label_height - stock.inset_y - _TICK)
    )
    return _Kind(fitted, (0.0, far - stock.inset_x), ticks)


def _drawn(label: LabelText, corner: tuple[float, float], kind: _Kind, job: _Job) -> Page:
    """Return the label's marks where they stand on the page."""
    x, y = corner
    return Page(
        symbols=tuple(_symbol(label, x + shift, y, kind.form, job) for shift in kind.faces),
        lines=tuple(
            _moved(line, x + shift, y)
            for shift in kind.faces
            for line in lines.typeset(label, kind.form, job.face)
        ),
        ticks=tuple(Tick(x + tick.left, y + tick.top, tick.length) for tick in kind.ticks),
    )


def _symbol(label: LabelText, x: float, y: float, fitted: Form, job: _Job) -> Symbol:
    """Return the symbol on the whole dots nearest to where the form has it."""
    dots_per_mm = job.stock.dpi / MM_PER_INCH
    quiet = qr.QUIET * fitted.dots
    return Symbol(
        left=round((x + fitted.symbol.left) * dots_per_mm) + quiet,
        top=round((y + fitted.symbol.top) * dots_per_mm) + quiet,
        dots=fitted.dots,
        modules=job.matrices[label.code],
        address=job.addresses[label.code],
        label=", ".join((label.name, *lines.whole_lines(label))),
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
