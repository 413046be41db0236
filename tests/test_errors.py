"""Errors come in few families, and a message can be printed whatever was typed."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from kb import errors
from kb.errors import (
    BusyError,
    ConflictError,
    InvalidError,
    KitloreError,
    NotFoundError,
    Problem,
    StorageError,
    UnlikelyError,
)


def families(base: type[KitloreError]) -> Iterator[type[KitloreError]]:
    for family in base.__subclasses__():
        yield family
        yield from families(family)


def test_the_families_are_these_few() -> None:
    # Each face has a table of them; a new one is a talk about both.
    assert set(families(KitloreError)) == {
        InvalidError,
        NotFoundError,
        ConflictError,
        UnlikelyError,
        BusyError,
        StorageError,
    }


@pytest.mark.parametrize(
    "error",
    [
        InvalidError([Problem("name", "it is empty. Type something.")]),
        NotFoundError("item", "CC-9", "See the list."),
        ConflictError("It was changed. Look again."),
        BusyError("Somebody else writes. Try again."),
        StorageError("It's full. Make room.", Path("kitlore.db")),
    ],
)
def test_every_error_is_its_sentence(error: KitloreError) -> None:
    assert str(error) == error.message
    assert error.message.endswith(".")


def test_an_error_of_input_names_every_bad_field_on_a_line() -> None:
    error = InvalidError([Problem("name", "it is empty."), Problem("", "nothing fits.")])
    assert error.message.splitlines() == ["name: it is empty.", "nothing fits."]
    assert [problem.field for problem in error.problems] == ["name", ""]


def test_what_was_not_found_is_quoted_with_the_mend() -> None:
    error = NotFoundError("item", "CC-9", "Near to it: cc-09.")
    assert error.message == "No item 'CC-9'. Near to it: cc-09."
    assert (error.what, error.given) == ("item", "CC-9")


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("CC-01", "'CC-01'"),
        (7, "'7'"),
        ("Größe 🎬", "'Größe 🎬'"),
        ("\x1b[31mred", "'<U+001B>[31mred'"),
        # What a terminal hands over for a byte that is no UTF-8 can't be printed again.
        ("\udcff", "'<U+DCFF>'"),
        # Right-to-left override: what follows would be read backwards.
        ("a\u202eb", "'a<U+202E>b'"),
        ("two\nlines", "'two<U+000A>lines'"),
        ("x" * 60, f"'{'x' * 60}'"),
        ("x" * 61, f"'{'x' * 60}…'"),
    ],
)
def test_what_was_given_is_quoted_short_and_without_anything_invisible(
    given: object, expected: str
) -> None:
    assert errors.quoted(given) == expected
    errors.quoted(given).encode()
