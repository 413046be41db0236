"""Write a sheet of labels to a file, PDF or PNG by the file's ending, whole or not at all."""

import os
from collections.abc import Iterator
from pathlib import Path

from kb.errors import InvalidError, Problem, StorageError
from kb.labels import pdf, png
from kb.labels.marks import Sheet


def write(sheet: Sheet, path: Path) -> tuple[Path, ...]:
    """Write the labels and return the files written.

    A PDF holds all pages. A PNG holds one page: several pages become several files, numbered.

    Raises:
        InvalidError: When the file's ending is neither.
        StorageError: When the file can't be written; what stood there before still does.
    """
    files = list(_files(sheet, path))
    for target, content in files:
        _replace(target, content)
    return tuple(target for target, _ in files)


def write_pdf(content: bytes, path: Path) -> None:
    """Write a finished PDF.

    Raises:
        InvalidError: When the file's ending is another.
        StorageError: When the file can't be written; what stood there before still does.
    """
    if path.suffix.lower() != ".pdf":
        raise InvalidError([Problem("out", f"'{path.name}' doesn't end in .pdf. Name it so.")])
    _replace(path, content)


def _files(sheet: Sheet, path: Path) -> Iterator[tuple[Path, bytes]]:
    """Give each file's name and content."""
    ending = path.suffix.lower()
    if ending == ".pdf":
        yield path, pdf.render(sheet)
    elif ending == ".png":
        for number, page in enumerate(sheet.pages, start=1):
            numbered = path.with_stem(f"{path.stem}-{number}")
            yield path if len(sheet.pages) == 1 else numbered, png.render(page, sheet)
    else:
        raise InvalidError(
            [Problem("out", f"'{path.name}' ends in neither .pdf nor .png. Name it with one.")]
        )


def _replace(path: Path, content: bytes) -> None:
    """Put the content in place of the file in one step."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        try:
            with part.open("xb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise StorageError(
            f"'{path}' can't be written: {error.strerror}. Choose another folder or name.", path
        ) from error
