"""Comma-separated values as text: written so that they read back the same, and read with care.

The form is that of RFC 4180; semicolons are read too, since spreadsheet programs write them
where the comma is the decimal sign.
"""

import csv
import io
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kb.errors import InvalidError, Problem, quoted

# What makes a spreadsheet program take a cell for a formula (OWASP, 'CSV Injection'); such a
# cell is written after an apostrophe, and so is one that has apostrophes before it already.
_RUNS = re.compile("'*[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")


@dataclass(frozen=True)
class Row:
    """A row below the columns.

    Attributes:
        line: The line that it begins on; the columns' is the first.
        cells: Column to what stands below it.
        wrong: Why the row can't be read; empty where it can.
    """

    line: int
    cells: Mapping[str, str]
    wrong: str = ""


def written(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Return the rows as text, every cell quoted, the columns on the first line."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    lines.writerow(columns)
    lines.writerows([_guarded(row[name]) for name in columns] for row in rows)
    return text.getvalue()


def read(text: str, known: Sequence[str], required: Collection[str]) -> tuple[Row, ...]:
    """Return the rows of a text; those without anything in them are left out.

    Args:
        text: The columns' names on its first line, between semicolons or commas.
        known: The columns that there may be.
        required: Those that there must be.

    Raises:
        InvalidError: A column is unknown, missing or named twice.
    """
    first = text.split("\n", 1)[0]
    lines = csv.reader(
        io.StringIO(text, newline=""), delimiter=";" if ";" in first else ",", strict=True
    )
    try:
        columns = [_column(name) for name in next(lines, [])]
    except csv.Error as error:
        raise InvalidError([Problem("line 1", _broken(error))]) from None
    _require_columns(columns, known, required)
    return tuple(_rows(columns, lines))


def _rows(columns: Sequence[str], lines: Any) -> Iterator[Row]:  # noqa: ANN401 - a csv.reader
    """Yield the rows; what follows a broken quotation can't be told apart any more."""
    while True:
        line = lines.line_num + 1
        try:
            cells = next(lines, None)
        except csv.Error as error:
            yield Row(line, {}, _broken(error))
            return
        if cells is None:
            return
        if any(_bare(cell).strip() for cell in cells):
            yield _row(line, columns, cells)


def _row(line: int, columns: Sequence[str], cells: Sequence[str]) -> Row:
    if len(cells) != len(columns):
        told = f"it has {len(cells)} cells, the first line names {len(columns)} columns."
        return Row(line, {}, f"{told} Give each its cell, an empty one too.")
    return Row(line, {name: _bare(cell) for name, cell in zip(columns, cells, strict=True)})


def _require_columns(
    columns: Sequence[str], known: Sequence[str], required: Collection[str]
) -> None:
    """Refuse columns that don't fit.

    Raises:
        InvalidError: Naming each of them, and those that are known.
    """
    mend = f"Known are: {', '.join(known)}."
    wrong = [
        *(f"there is no column {quoted(name)}" for name in columns if name not in known),
        *(f"the column {name} is missing" for name in required if name not in columns),
        *(f"the column {name} is there twice" for name in known if columns.count(name) > 1),
    ]
    if wrong:
        raise InvalidError(Problem("line 1", f"{told}. {mend}") for told in wrong)


def _column(name: str) -> str:
    return "_".join(_bare(name).casefold().split())


def _guarded(cell: str) -> str:
    return f"'{cell}" if _RUNS.match(cell) else cell


def _bare(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and _RUNS.match(cell) else cell


def _broken(error: csv.Error) -> str:
    return f"a quotation is broken or endless ({error}). A quote inside one is written twice."
