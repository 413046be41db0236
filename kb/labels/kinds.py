"""How the labels of one kind look: plain ones, flags, wraps round cables of one thickness."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kb.errors import InvalidError
from kb.labels import cable, form, lines, qr, wraps
from kb.labels.form import Form, Need, Room
from kb.labels.marks import MM_PER_INCH, Tick
from kb.labels.qr import Level
from kb.labels.stock import Stock
from kb.labels.text import Face, LabelText
from kb.labels.wishes import Wishes

# Level and least version of a symbol, and what comes where a label is too small for it.
QUALITIES: tuple[tuple[Level, int], ...] = (("Q", qr.LEAST_VERSION), ("M", 1), ("L", 1))

_TICK = 1.5
_BOX = 0.6  # em that a box takes beside the code


@dataclass(frozen=True)
class Key:
    """What tells kinds apart: how the label goes on, and for a wrap round what."""

    way: str
    diameter: float | None = None


@dataclass(frozen=True)
class Kind:
    """One kind of label.

    Attributes:
        form: Where symbol and text go; None for text alone, repeated round the cable.
        quality: Level and least version of the symbol.
        room: What there is to print on.
        faces: By how far right each face is drawn.
        ticks: Fold marks.
        notes: What whoever prints should know.
    """

    form: Form | None
    quality: tuple[Level, int]
    room: Room
    faces: tuple[float, ...] = (0.0,)
    ticks: tuple[Tick, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Job:
    """What is the same for every label of a sheet."""

    stock: Stock
    face: Face
    wishes: Wishes
    addresses: Mapping[str, str]


def key_of(label: LabelText, stock: Stock) -> Key:
    """Return of which kind a label is on a stock."""
    if label.end is None:
        return Key("plain")
    if stock.print_band is not None:
        return Key("wrap", label.diameter)
    return Key("flag" if stock.flag_face is not None else "plain")


def kind_of(key: Key, labels: Sequence[LabelText], job: Job) -> Kind:
    """Return how all labels of a kind are laid out.

    Raises:
        InvalidError: When they can't be on this stock.
    """
    if job.stock.print_band is not None:
        wraps.require_cables(labels, job.stock)
    made = _KINDS[key.way](labels, job)
    return replace(made, notes=(*made.notes, *_told(made, labels, job)))


def _plain(labels: Sequence[LabelText], job: Job) -> Kind:
    stock = job.stock
    room = Room(
        stock.inset_x,
        stock.inset_y,
        stock.label_width - 2 * stock.inset_x,
        stock.label_height - 2 * stock.inset_y,
    )
    fitted, quality = _fitted(room, labels, job)
    return Kind(fitted, quality, room)


def _flag(labels: Sequence[LabelText], job: Job) -> Kind:
    stock = job.stock
    width = stock.flag_face or 0.0
    height = stock.label_height - 2 * stock.inset_y
    room = Room(stock.inset_x, stock.inset_y, width - stock.inset_x, height)
    fitted, quality = _fitted(room, labels, job)
    far = stock.label_width - width
    ticks = tuple(
        Tick(left, top, _TICK)
        for left in (width, far)
        for top in (stock.inset_y, stock.label_height - stock.inset_y - _TICK)
    )
    notes = tuple(wraps.too_thick(labels, stock))
    return Kind(fitted, quality, room, (0.0, far - stock.inset_x), ticks, notes)


def _wrap(labels: Sequence[LabelText], job: Job) -> Kind:
    """Return the wrap with its symbol where the cable is thick enough, else with text alone."""
    stock, thick = job.stock, labels[0].diameter or 0.0
    band = (stock.print_band or 0.0) - 2 * stock.inset_y
    room = Room(stock.inset_x, stock.inset_y, stock.label_width - 2 * stock.inset_x, band)
    seen = replace(room, height=min(band, cable.copy_height(thick)))
    try:
        fitted, quality = _fitted(seen, labels, job, most=thick / 2)
    except InvalidError:
        bare = _smallest(labels[0], job)
        why = wraps.why_no_symbol(labels, bare, thick)
        return Kind(None, QUALITIES[0], room, notes=(why,))
    return Kind(fitted, quality, room)


_KINDS = {"plain": _plain, "flag": _flag, "wrap": _wrap}


def _fitted(
    room: Room, labels: Sequence[LabelText], job: Job, most: float = float("inf")
) -> tuple[Form, tuple[Level, int]]:
    """Return the form, and the best symbol for which there's room."""
    refused = []
    for quality in QUALITIES:
        need = _need(labels, job, quality, most)
        try:
            return form.fit(room, need, job.stock.dpi), quality
        except InvalidError as error:
            refused.append(error)
    raise refused[-1]


def _need(labels: Sequence[LabelText], job: Job, quality: tuple[Level, int], most: float) -> Need:
    whole = [line for label in labels for line in lines.whole_lines(label)]
    wide = max(job.face.width(line, bold=True) for line in whole)
    named = any(label.name for label in labels)
    return Need(
        modules=_modules(labels[0], job, quality),
        widest=wide + (_BOX if job.wishes.boxed else 0.0),
        lines=named + max(len(lines.whole_lines(label)) for label in labels),
        cap=job.face.cap,
        distance=job.wishes.distance,
        module=job.wishes.module,
        most=most,
    )


def _modules(label: LabelText, job: Job, quality: tuple[Level, int]) -> int:
    """Return the modules a side, the same for all since their addresses are equally long."""
    return len(qr.modules(job.addresses[label.code], *quality))


def _smallest(label: LabelText, job: Job) -> float:
    """Return the width of the smallest symbol that there is, without its quiet zone."""
    least = form.least_dots(job.stock.dpi) * MM_PER_INCH / job.stock.dpi
    return min(_modules(label, job, quality) for quality in QUALITIES) * least


def _told(kind: Kind, labels: Sequence[LabelText], job: Job) -> Iterator[str]:
    """Give what isn't as it was wished for."""
    if kind.form is None:
        return
    module = kind.form.dots * MM_PER_INCH / job.stock.dpi
    wish = job.wishes.module
    if wish is not None and abs(module - wish) > 0.0005:  # noqa: PLR2004 - half of what is shown
        yield (
            f"A module is {kind.form.dots} dots, {module:.3f} mm, not {wish:g} mm: whole dots at "
            f"{job.stock.dpi} dpi, and never fewer than {form.LEAST_DOTS}."
        )
    if kind.quality != QUALITIES[0]:
        level, modules = kind.quality[0], _modules(labels[0], job, kind.quality)
        yield (
            f"There is little room: symbols of {modules} modules at level {level}, which bear "
            "less dirt and tilt. Scan one before you print the rest."
        )
