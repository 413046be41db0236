"""Comma-separated values: written so that they read back the same, and read with care."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import InvalidError
from kb.exchange import csv_form
from kb.exchange.csv_form import Row

COLUMNS = ("name", "note")
CELL = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
# What a spreadsheet program takes for a formula, apostrophes before it or not.
RUN = "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"
TRICKY = st.tuples(st.sampled_from(["", "'", "''"]), st.sampled_from(RUN), CELL)
CELLS = CELL | TRICKY.map("".join)
ROWS = st.lists(st.fixed_dictionaries({"name": CELLS, "note": CELLS}), max_size=4)


def read(text: str) -> tuple[Row, ...]:
    """Return the rows of a text that has a name and perhaps a note."""
    return csv_form.read(text, COLUMNS, ["name"])


def problems(text: str) -> list[str]:
    """Return what is wrong with the columns."""
    with pytest.raises(InvalidError) as caught:
        read(text)
    return [str(one) for one in caught.value.problems]


@settings(max_examples=150)
@given(ROWS)
def test_what_is_written_reads_back_the_same(rows: list[dict[str, str]]) -> None:
    kept = [row for row in rows if any(cell.strip() for cell in row.values())]

    assert [row.cells for row in read(csv_form.written(COLUMNS, rows))] == kept


@settings(max_examples=100)
@given(CELLS)
def test_no_cell_is_written_as_a_formula(cell: str) -> None:
    written = csv_form.written(COLUMNS, [{"name": cell, "note": ""}])

    # As another reader sees it: the standard library, without anything of ours.
    _columns, (name, _note) = csv.reader(io.StringIO(written, newline=""))
    assert name[:1] not in tuple(RUN)


# The rules of RFC 4180, section 2, by their numbers.
@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("name,note\r\na,b\r\n", [("a", "b")]),  # 1: lines end with CR LF
        ("name,note\r\na,b", [("a", "b")]),  # 2: the last one may end without
        ("name,note\n a ,\tb\n", [(" a ", "\tb")]),  # 4: spaces belong to the cell
        ('"name","note"\r\n"a","b"\r\n', [("a", "b")]),  # 5: cells may be quoted
        ('name,note\r\n"a\r\nb","c,d"\r\n', [("a\r\nb", "c,d")]),  # 6: with breaks and commas
        ('name,note\r\n"a""b",""\r\n', [('a"b', "")]),  # 7: a quote in one is written twice
    ],
)
def test_the_rules_of_the_standard(text: str, rows: list[tuple[str, str]]) -> None:
    assert [tuple(row.cells.values()) for row in read(text)] == rows


def test_semicolons_are_read_too() -> None:
    assert read("name;note\na,b;c\n")[0].cells == {"name": "a,b", "note": "c"}


@pytest.mark.parametrize("head", ["name,note", "NAME,Note", " name , note ", '"name","note"'])
def test_columns_are_known_in_any_case(head: str) -> None:
    assert read(f"{head.strip()}\na,b\n")[0].cells == {"name": "a", "note": "b"}


def test_columns_come_in_any_order_and_some_may_be_missing() -> None:
    assert read("note,name\na,b\n")[0].cells == {"name": "b", "note": "a"}
    assert read("name\na\n")[0].cells == {"name": "a"}


def test_a_column_of_two_words_may_be_written_so() -> None:
    (row,) = csv_form.read("In service\n2026-11-01\n", ["in_service"], [])

    assert row.cells == {"in_service": "2026-11-01"}


def test_each_row_knows_its_line() -> None:
    rows = read('name,note\n\na,"b\nc"\n,\nd,e\n')

    assert [(row.line, row.cells["name"]) for row in rows] == [(3, "a"), (6, "d")]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", ["line 1: the column name is missing."]),
        ("note\n", ["line 1: the column name is missing."]),
        ("name,colour\n", ["line 1: there is no column 'colour'."]),
        ("name,name\n", ["line 1: the column name is there twice."]),
        ("name,\n", ["line 1: there is no column ''."]),
        (
            "colour,size\n",
            [
                "line 1: there is no column 'colour'.",
                "line 1: there is no column 'size'.",
                "line 1: the column name is missing.",
            ],
        ),
        ('"name\n', ["line 1: a quotation is broken or endless"]),
    ],
)
def test_columns_that_do_not_fit_are_refused_and_the_known_ones_named(
    text: str, told: list[str]
) -> None:
    found = problems(text)

    assert len(found) == len(told)
    assert all(one.startswith(start) for one, start in zip(found, told, strict=True))
    assert all("Known are: name, note." in one or "quotation" in one for one in found)


def test_a_row_with_too_few_or_too_many_cells_is_told_and_the_others_are_read() -> None:
    rows = read("name,note\na\nb,c\nd,e,f\n")

    assert [(row.line, bool(row.wrong)) for row in rows] == [(2, True), (3, False), (4, True)]
    assert rows[0].wrong == (
        "it has 1 cells, the first line names 2 columns. Give each its cell, an empty one too."
    )


@pytest.mark.parametrize("broken", ['"a"x,b', '"a,b', f'"{"a" * 200_000}",b'])
def test_what_follows_a_broken_quotation_is_not_guessed(broken: str) -> None:
    rows = read(f"name,note\na,b\n{broken}\nc,d\n")

    assert [(row.line, bool(row.wrong)) for row in rows] == [(2, False), (3, True)]
