"""Read back what was written: every symbol of the finished file, as a scanner would."""

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped] # it ships no types
import zxingcpp
from PIL import Image

from kb.errors import StorageError
from kb.labels.marks import Sheet, Symbol
from kb.labels.qr import QUIET

_POINTS_PER_INCH = 72
_QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)


@dataclass(frozen=True)
class Verdict:
    """What came of reading a file back.

    Attributes:
        read: How many symbols were read and hold their address.
        unread: One sentence for each that was not.
    """

    read: int
    unread: tuple[str, ...]


def read_back(
    sheet: Sheet, files: Sequence[Path], told: Callable[[int], object] = lambda _done: None
) -> Verdict:
    """Read every symbol of the files at the resolution they were laid out for.

    Args:
        sheet: What was written.
        files: Where it was written, as the writing returned them.
        told: Called with how many more symbols were looked at.

    Raises:
        StorageError: When a file can't be read.
    """
    unread = []
    pictures = (picture for path in files for picture in _pictures(path, sheet.dpi))
    for number, (page, picture) in enumerate(zip(sheet.pages, pictures, strict=True), start=1):
        unread += [
            f"Page {number}, {symbol.label}: {finding}"
            for symbol in page.symbols
            for finding in _findings(symbol, picture)
        ]
        told(len(page.symbols))
    return Verdict(sum(len(page.symbols) for page in sheet.pages) - len(unread), tuple(unread))


def _findings(symbol: Symbol, picture: Image.Image) -> Iterator[str]:
    """Give what is wrong with the symbol, cut out with its quiet zone."""
    quiet = QUIET * symbol.dots
    right, bottom = symbol.left + symbol.side + quiet, symbol.top + symbol.side + quiet
    piece = picture.crop((symbol.left - quiet, symbol.top - quiet, right, bottom))
    texts = [found.text for found in zxingcpp.read_barcodes(piece, _QR)]
    if not texts:
        yield "no symbol can be read there."
    elif texts != [symbol.address]:
        yield f"it reads {', '.join(texts)} and should read {symbol.address}."


def _pictures(path: Path, dpi: int) -> Iterator[Image.Image]:
    """Give each page of the file as a grey picture."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise _unreadable(path, error.strerror or "") from error
    if path.suffix.lower() == ".png":
        yield Image.open(io.BytesIO(content)).convert("L")
        return
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as error:
        raise _unreadable(path, "it is no whole PDF") from error
    for page in document:
        yield page.render(scale=dpi / _POINTS_PER_INCH, grayscale=True).to_pil()
    document.close()


def _unreadable(path: Path, why: str) -> StorageError:
    return StorageError(f"'{path}' can't be read back: {why}. Write the labels again.", path)
