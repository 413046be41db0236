"""`drive`: tested, listed, mended."""

import pytest
from calls import Refused, Run


@pytest.fixture
def tested(run: Run) -> Run:
    """Return what runs the command where DR-01 was tested twice."""
    first = run("drive", "test", "DR-01", "182 MB/s", "--at", "09:00", "--note", "hot")
    assert first.out == "Test 1: DR-01 wrote 182 MB/s.\n"
    assert run("drive", "test", "DR-01", "128000000", "--json").json == {"test": 2}
    return run


def test_tests_are_listed_newest_first_in_megabytes(tested: Run) -> None:
    # A megabyte is a million bytes (SI prefix, IEC 80000-13).
    assert [
        " ".join(line.split()) for line in tested("drive", "list", "DR-01").out.splitlines()
    ] == [
        "No When MB/s Note",
        "2 2026-11-19 15:30 128",
        "1 2026-11-19 09:00 182 hot",
    ]
    rates = [one["write_rate"] for one in tested("drive", "list", "DR-01", "--json").json]
    assert rates == [128_000_000, 182_000_000]


def test_a_drive_never_tested(run: Run) -> None:
    assert run("drive", "list", "DR-01").out == "It was never tested.\n"


def test_a_slip_is_mended(tested: Run) -> None:
    changed = tested("drive", "change", 1, "--rate", "128 MB/s", "--at", "08:00", "--note", "")
    assert changed.out == "Test 1 is changed.\n"

    line = tested("drive", "list", "DR-01", "--json").json[-1]
    assert (line["write_rate"], line["note"]) == (128_000_000, None)
    assert line["at"] == "2026-11-19T08:00:00+00:00"


def test_the_second_writer_is_told_what_the_first_changed(tested: Run) -> None:
    tested("drive", "change", 1, "--note", "cold", "--seen", 1)

    result = tested("drive", "change", 1, "--note", "warm", "--seen", 1)

    assert result.code == 2
    assert "jp: note 'hot' -> 'cold'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("list", "DR-99"), "No item 'DR-99'."),
        (("test", "DR-01"), "Usage: kitlore drive test"),
        (("test", "DR-01", "fast"), "write rate: 'fast' is no rate."),
        (("test", "DR-01", "0"), "write rate: '0' does not fit"),
        (("test", "CC-01", "1 MB/s"), "item: CC-01 is of the class call-computer, so it's no"),
        (("change", "9", "--note", "x"), "No drive"),
        (("change", str(10**20), "--note", "x"), "No drive"),
        (("change", "9"), "option: say what to change"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("drive", *words).startswith(told)
