"""What is drawn on a sheet of labels: symbols, lines of text and fold marks.

Lengths are millimetres and positions count from the top left of the page, save where dots of the
printer are named.
"""

from dataclasses import dataclass

from kb.labels.qr import Matrix

MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Symbol:
    """One QR symbol, on whole printer dots.

    Attributes:
        left: Dots from the page's left edge to the first module.
        top: Dots from the page's top edge to the first module.
        dots: The side of a module in dots.
        modules: Row by row, dark ones true.
        address: What the symbol holds.
        label: How a sentence names the label it stands on.
    """

    left: int
    top: int
    dots: int
    modules: Matrix
    address: str
    label: str

    @property
    def side(self) -> int:
        """The side of the symbol in dots, without the quiet zone."""
        return len(self.modules) * self.dots


@dataclass(frozen=True)
class Box:
    """A black box behind a line, in em from where the line begins on its baseline."""

    before: float
    above: float
    width: float
    height: float


@dataclass(frozen=True)
class Line:
    """One line of text.

    Attributes:
        left: Where it begins.
        baseline: What it stands on.
        em: Its type size.
        text: As it's read, whatever its script.
        bold: Which cut it's set in.
        box: The black box that it stands in, white; none for black text.
    """

    left: float
    baseline: float
    em: float
    text: str
    bold: bool
    box: Box | None = None


@dataclass(frozen=True)
class Tick:
    """A short upright stroke that shows where a flag folds."""

    left: float
    top: float
    length: float


@dataclass(frozen=True)
class Page:
    """Everything on one page."""

    symbols: tuple[Symbol, ...]
    lines: tuple[Line, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class Sheet:
    """The pages to print, and what the person who prints them should know.

    Attributes:
        width: Of the page.
        height: Of the page.
        dpi: Dots per inch that the symbols were laid out for.
        pages: In printing order.
        notes: One sentence for each text that isn't printed as it is written.
    """

    width: float
    height: float
    dpi: int
    pages: tuple[Page, ...]
    notes: tuple[str, ...]

    @property
    def dot(self) -> float:
        """The side of a printer dot."""
        return MM_PER_INCH / self.dpi
