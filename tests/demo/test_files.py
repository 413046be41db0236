"""A data file that does not fit its class is noticed at once."""

from dataclasses import dataclass
from datetime import date, time

import pytest

from kb.demo import files
from kb.records.kinds import Effect


@dataclass(frozen=True)
class Row:
    """One of everything a column may be."""

    name: str
    note: str | None
    on: date | None
    at: time
    count: int
    share: float
    flag: bool
    words: tuple[str, ...]
    effect: Effect


HEADER = "name,note,on,at,count,share,flag,words,effect\n"


def test_cells_are_typed_by_their_column() -> None:
    text = HEADER + 'A,"x, y",2025-05-01,19:00,3,1.5,yes,a b;c,one source lost\n'
    (row,) = files.typed(Row, text)
    assert (row.name, row.note, row.words) == ("A", "x, y", ("a b", "c"))
    assert (row.on, row.at) == (date(2025, 5, 1), time(19))
    assert (row.count, row.share, row.flag) == (3, 1.5, True)
    assert row.effect is Effect.SOURCE_LOST


def test_empty_cells_are_nothing_where_that_is_allowed() -> None:
    (row,) = files.typed(Row, HEADER + "A,,,19:00,3,1.5,no,,none\n")
    assert (row.note, row.on, row.flag, row.words) == (None, None, False, ())


@pytest.mark.parametrize(
    "text",
    [
        "",
        "name\nA\n",
        HEADER + ",,,19:00,3,1.5,no,,none\n",
        HEADER + "A,,,19:00,3,1.5,no,,none,too many\n",
        HEADER + "A,,,19:00,3,1.5,no,,nothing\n",
        HEADER + "A,,2025-13-01,19:00,3,1.5,no,,none\n",
    ],
)
def test_what_does_not_fit_is_refused(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the sentence is Python's own
        files.typed(Row, text)
