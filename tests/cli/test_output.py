"""What is printed: folded to the columns there are, coloured only where somebody looks."""

import io
import json
from collections.abc import Callable
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from kb.cli import output

LONDON = ZoneInfo("Europe/London")
Printed = Callable[..., list[str]]


class Terminal(io.StringIO):
    """A stream that somebody looks at."""

    def isatty(self) -> bool:
        return True


def lines_of(out: io.StringIO, call: Callable[..., None], *values: object) -> list[str]:
    """Return the lines that a call prints to a stream."""
    with redirect_stdout(out):
        call(*values)
    return out.getvalue().splitlines()


@pytest.fixture
def printed() -> Printed:
    """Return what tells the lines that a call prints into a pipe."""
    return lambda call, *values: lines_of(io.StringIO(), call, *values)


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> Printed:
    """Return what tells the lines that a call prints on a terminal of 120 columns."""
    monkeypatch.setenv("COLUMNS", "120")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    return lambda call, *values: lines_of(Terminal(), call, *values)


def test_a_text_is_folded_below_its_mark(printed: Printed) -> None:
    told = "a clean picture within ten seconds, and then the page of the show"

    assert printed(output.say, f"1. {told} {told}", "   ") == [
        "   1. a clean picture within ten seconds, and then the page of the show a clean",
        "      picture within ten seconds, and then the page of the show",
    ]
    assert printed(output.say, f"- {told} {told}")[1].startswith("  picture within ten")


def test_a_number_of_seconds_is_no_mark(printed: Printed) -> None:
    told = f"30 s, {'at worst a minute and ' * 5}more"

    assert [line[:4] for line in printed(output.say, told, "   ")] == ["   3", "   w"]


@pytest.mark.parametrize(
    "whole", ["/mnt/stick-of-the-crew/" + "x" * 70, "call-screen-share-problem"]
)
def test_paths_and_slugs_stay_whole(whole: str, printed: Printed) -> None:
    assert (
        whole in " ".join(printed(output.say, f"{'It is as it was, ' * 4}in {whole} now.")).split()
    )


def test_facts_stand_under_each_other_and_what_is_empty_is_left_out(printed: Printed) -> None:
    facts = {"Name": "CC-01", "Note": "hinge stiff\ntake care", "Serial": None, "In service": ""}

    assert printed(output.facts, facts) == ["Name  CC-01", "Note  hinge stiff", "      take care"]
    assert printed(output.facts, {"Note": ""}) == []


def test_a_table_is_set_under_its_headings(printed: Printed) -> None:
    rows = [("CC-01", 1), ("HD-04", 12), (None, 3)]

    assert [line.rstrip() for line in printed(output.table, ("Name", ">No"), rows, "None.")] == [
        "Name   No",
        "CC-01   1",
        "HD-04  12",
        "        3",
    ]


def test_a_table_without_rows_is_a_sentence(printed: Printed) -> None:
    assert printed(output.table, ("Name",), [], "No item.") == ["No item."]


def test_what_looks_like_markup_is_printed_as_it_is(printed: Printed) -> None:
    assert printed(output.table, ("Name",), [("[red]x[/red] :smile:",)], "")[1].rstrip() == (
        "[red]x[/red] :smile:"
    )


def test_a_wide_table_is_folded_into_eighty_columns(printed: Printed) -> None:
    rows = [("name " * 20, "place/" * 30, "x" * 200)]

    lines = printed(output.table, ("Name", "Place", "Note"), rows, "")

    assert max(map(len, lines)) <= output.WIDTH
    assert "".join("".join(lines[1:]).split()).count("x") == 200


def test_a_terminal_is_used_in_its_width(looked_at: Printed) -> None:
    assert 110 < max(map(len, looked_at(output.say, "word " * 60))) <= 120


def test_a_terminal_gets_bold_headings(looked_at: Printed) -> None:
    assert looked_at(output.emphasised, "Fault 1") == ["\x1b[1mFault 1\x1b[0m"]
    assert looked_at(output.table, ("Name",), [("CC-01",)], "")[0].startswith("\x1b[1m")


def test_no_colour_where_it_is_not_wanted(
    looked_at: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    # https://no-color.org: whatever it is set to, where it is not empty (from memory).
    monkeypatch.setenv("NO_COLOR", "1")

    assert looked_at(output.emphasised, "Fault 1") == ["Fault 1"]
    assert "\x1b" not in "".join(looked_at(output.table, ("Name",), [("CC-01",)], ""))


def test_json_has_times_as_iso_8601_and_letters_as_they_are(printed: Printed) -> None:
    @dataclass
    class Line:
        name: str
        at: datetime
        day: date | None

    line = Line("Süd", datetime(2026, 3, 19, 12, 0, tzinfo=UTC), date(2026, 3, 19))

    text = "\n".join(printed(output.as_json, [line]))

    assert '"Süd"' in text
    assert json.loads(text) == [
        {"name": "Süd", "at": "2026-03-19T12:00:00+00:00", "day": "2026-03-19"}
    ]


def test_times_are_shown_in_the_zone() -> None:
    summer = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)

    assert output.local(summer, LONDON) == "2026-07-02 00:30"
    assert output.day(summer, LONDON) == "2026-07-02"
    assert output.local(None, LONDON) == ""
    assert output.clock_near(summer, datetime(2026, 7, 2, 12, 0, tzinfo=UTC), LONDON) == "00:30"
    assert output.clock_near(summer, datetime(2026, 7, 1, 12, 0, tzinfo=UTC), LONDON) == (
        "2026-07-02 00:30"
    )
    assert output.clock_near(None, summer, LONDON) == ""


@pytest.mark.parametrize(
    ("minor", "told"),
    [(None, ""), (0, "0.00 EUR"), (5, "0.05 EUR"), (1250, "12.50 EUR"), (104050, "1,040.50 EUR")],
)
def test_money_is_shown_with_its_currency(minor: int | None, told: str) -> None:
    assert output.money(minor, "EUR") == told


@pytest.mark.parametrize(("number", "told"), [(0, "0 entries"), (1, "1 entry"), (2, "2 entries")])
def test_a_noun_follows_its_number(number: int, told: str) -> None:
    assert output.counted(number, "entry", "entries") == told
