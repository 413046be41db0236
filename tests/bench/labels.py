# ruff: noqa: T201 - it prints what it measured
"""How long 5,000 labels take, against plain reportlab drawing as many rectangles.

Run by hand, from the checkout:  cd tests; python -m bench.labels [LABELS] [ROUNDS]

Both write a PDF of as many pages to memory. The rectangles of the plain one are the dark runs of
the same symbols at the same places, each drawn by the canvas. Rounds are interleaved; the ratio
is of the medians.
"""

import io
import itertools
import statistics
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from time import perf_counter

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from kb.gear import codes
from kb.labels import font, pdf, qr, sheet, shelf
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.labels.text import LabelText

HOST = "192.168.1.20:8080"
Runs = list[list[tuple[float, float, float, float]]]


def of(count: int) -> tuple[LabelText, ...]:
    """Return labels of items, codes drawn at random."""
    chance = Random(1)  # noqa: S311 - the same labels each time
    return tuple(
        LabelText(codes.make(chance), f"CC-{number:04d}", lines=("rack 1",))
        for number in range(count)
    )


def ours(labels: Sequence[LabelText], stock: Stock) -> Sheet:
    """Make the labels from nothing."""
    qr.modules.cache_clear()
    pdf._run.cache_clear()
    made = sheet.lay_out(labels, stock, HOST, font.load())
    pdf.render(made)
    return made


def runs(made: Sheet) -> Runs:
    """Return the rectangles of every page, in points."""
    dot = 72 / made.dpi
    high = made.height * mm
    return [
        [
            (
                (symbol.left + begun * symbol.dots) * dot,
                high - (symbol.top + (row + 1) * symbol.dots) * dot,
                length * symbol.dots * dot,
                symbol.dots * dot,
            )
            for symbol in page.symbols
            for row, line in enumerate(symbol.modules)
            for begun, length in pdf._runs(line)
        ]
        for page in made.pages
    ]


def plain(pages: Runs, made: Sheet) -> None:
    """Draw the rectangles."""
    size = (made.width * mm, made.height * mm)
    canvas = Canvas(io.BytesIO(), pagesize=size, pageCompression=1, invariant=1)
    for page in pages:
        for rectangle in page:
            canvas.rect(*rectangle, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()


def timed(act: Callable[[], object]) -> float:
    """Return the seconds that it took."""
    start = perf_counter()
    act()
    return perf_counter() - start


def main(arguments: list[str]) -> None:
    """Measure both in turn, print the medians and their ratio."""
    count, rounds = (int(one) for one in [*arguments, "5000", "3"][:2])
    stock = shelf.find(shelf.DEFAULT, [Path(__file__).parents[2] / "labels"])
    labels = of(count)
    made = ours(labels, stock)
    pages = runs(made)
    drawn = len(list(itertools.chain.from_iterable(pages)))
    taken = [
        (timed(lambda: ours(labels, stock)), timed(lambda: plain(pages, made)))
        for _round in range(rounds)
    ]
    mine, other = (statistics.median(side) for side in zip(*taken, strict=True))
    print(f"{count} labels, {len(pages)} pages, {drawn} rectangles, {rounds} rounds")
    print(f"labels {mine:.2f} s, plain rectangles {other:.2f} s, ratio {mine / other:.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
