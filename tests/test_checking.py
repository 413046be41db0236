"""What a person types becomes a draft, or one error that names every bad field."""

import unicodedata
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import checking
from kb.checking import (
    Count,
    Draft,
    Line,
    Moment,
    OptionalCount,
    OptionalDay,
    OptionalLine,
    OptionalMoment,
    OptionalMoney,
    OptionalText,
    Text,
)
from kb.errors import InvalidError
from kb.records.kinds import Role

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 3, 19, 23, 30, tzinfo=UTC)
few = settings(max_examples=60, deadline=None)


class Sample(Draft):
    """One field of each sort."""

    name: Line
    story: Text | None = None
    extra_line: OptionalLine = None
    note: OptionalText = None
    role: Role = Role.TECH
    day: OptionalDay = None
    price: OptionalMoney = None
    count: Count = 0
    on_hand: OptionalCount = None
    begins: Moment | None = None
    ends: OptionalMoment = None


def checked(**values: object) -> Sample:
    return checking.check(Sample, {"name": "CC-01", **values})


def refused(**values: object) -> str:
    with pytest.raises(InvalidError) as caught:
        checked(**values)
    return caught.value.message


def test_every_bad_field_is_named_at_once() -> None:
    with pytest.raises(InvalidError) as caught:
        checking.check(Sample, {"role": "boss", "price": "x", "day": "soon", "nonsense": "1"})
    fields = [problem.field for problem in caught.value.problems]
    assert sorted(fields) == ["day", "name", "nonsense", "price", "role"]


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"name": ""}, "name: it is empty. Type something."),
        ({"name": " \t "}, "name: it is empty. Type something."),
        # A zero width space alone looks like nothing.
        ({"name": "\u200b"}, "name: it is empty. Type something."),
        ({"name": "a\x00b"}, "name: it holds the control character U+0000. Type it without."),
        ({"name": "a\u202eb"}, "name: it holds the control character U+202E. Type it without."),
        ({"name": "x" * 301}, "name: 301 characters are too many: 300 fit. Shorten it."),
        ({"story": "x" * 20_001}, "story: 20,001 characters are too many: 20,000 fit."),
        ({"extra_line": "a\x07"}, "extra line: it holds the control character U+0007."),
        ({"role": "boss"}, "role: 'boss' is none of 'reader', 'tech' or 'lead'."),
        ({"day": "19.3.2026"}, "day: '19.3.2026' is no day. Write year-month-day"),
        ({"day": "2026-02-29"}, "day: '2026-02-29' is no day. Write year-month-day"),
        (
            {"day": "\u0662\u0660\u0662\u0666-\u0660\u0663-\u0661\u0669"},
            "is no day. Write year-month-day",
        ),
        ({"price": "1,50"}, "price: '1,50' is no amount. Write it like 980 or 12.50."),
        ({"price": "-3"}, "price: '-3' is no amount. Write it like 980 or 12.50."),
        ({"price": -3}, "price: '-3' does not fit: 0 is the least."),
        ({"price": "12.505"}, "price: '12.505' is no amount."),
        ({"count": "-1"}, "count: '-1' does not fit"),
        ({"count": "many"}, "count: 'many' does not fit: give a whole number, like 12."),
        ({"count": 1.5}, "count: '1.5' does not fit: give a whole number, like 12."),
        ({"name": 5}, "name: '5' does not fit: give a text."),
        ({"begins": "soon"}, "begins: 'soon' does not fit: give a time with its zone, like 2026-"),
        ({"on_hand": "1000001"}, "on hand: '1000001' does not fit"),
        ({"begins": "2026-03-19 19:00"}, "begins: '2026-03-19 19:00' does not fit"),
        ({"ends": datetime(2026, 3, 19)}, "ends: '2026-03-19 00:00:00' does not fit"),  # noqa: DTZ001
        ({"nonsense": "1"}, "nonsense: no such field. Known are: name, story, extra line"),
        # A byte that is no UTF-8, as a terminal hands it over: told, and printable.
        ({"name": "\udcff"}, "name: '<U+DCFF>' does not fit"),
        ({"day": "\x1b[31m"}, "day: '<U+001B>[31m' is no day."),
        ({"na\x1bme": "1"}, "na<U+001B>me: no such field."),
    ],
)
def test_a_bad_field_is_told_with_its_mend(values: dict[str, Any], sentence: str) -> None:
    message = refused(**values)
    assert sentence in message
    message.encode()


def test_a_missing_field_is_told() -> None:
    with pytest.raises(InvalidError, match=r"name: it is missing\. Give it\."):
        checking.check(Sample, {})


@pytest.mark.parametrize(
    ("values", "field", "expected"),
    [
        ({"name": "  CC \t 01 "}, "name", "CC 01"),
        ({"name": "two\nlines"}, "name", "two lines"),
        ({"story": "one\r\ntwo\rthree"}, "story", "one\ntwo\nthree"),
        ({"extra_line": "  "}, "extra_line", None),
        ({"note": ""}, "note", None),
        ({"role": "lead"}, "role", Role.LEAD),
        ({"day": " 2026-03-19 "}, "day", date(2026, 3, 19)),
        ({"day": ""}, "day", None),
        ({"day": date(2026, 3, 19)}, "day", date(2026, 3, 19)),
        ({"price": "980"}, "price", 98_000),
        ({"price": "12.5"}, "price", 1_250),
        ({"price": " 12.05 "}, "price", 1_205),
        ({"price": ""}, "price", None),
        ({"count": "24"}, "count", 24),
        ({"on_hand": ""}, "on_hand", None),
        ({"ends": ""}, "ends", None),
    ],
)
def test_what_was_typed_is_read(values: dict[str, Any], field: str, expected: object) -> None:
    assert getattr(checked(**values), field) == expected


def test_a_time_reaches_the_draft_in_utc() -> None:
    local = datetime(2026, 7, 1, 20, 0, tzinfo=LONDON)
    assert checked(begins=local).begins == datetime(2026, 7, 1, 19, 0, tzinfo=UTC)
    assert checked(begins=local).begins.tzinfo is UTC  # type: ignore[union-attr]


def test_a_draft_is_not_changed_after_the_check() -> None:
    with pytest.raises(ValueError, match="frozen"):
        checked().name = "CC-02"  # type: ignore[misc]


def test_text_is_composed_as_in_the_unicode_standards_example() -> None:
    # Unicode Standard Annex 15, figure 3: A with ring, decomposed and as the ångström sign.
    assert checking.clean_line("A\u030a") == "\u00c5"
    assert checking.clean_line("\u212b") == "\u00c5"


@few
@given(st.text(max_size=80))
def test_cleaning_twice_changes_nothing_more(text: str) -> None:
    try:
        once = checking.clean_text(text)
    except ValueError:
        return
    assert checking.clean_text(once) == once
    assert unicodedata.is_normalized("NFC", once)


@few
@given(st.text(max_size=80))
def test_a_checked_line_is_one_line_that_can_be_printed(text: str) -> None:
    try:
        line = checking.check(Sample, {"name": text}).name
    except InvalidError as error:
        error.message.encode()
        return
    assert len(line.splitlines()) == 1
    assert line == line.strip()
    line.encode()


@few
@given(st.integers(min_value=0, max_value=99_999_999_999))
def test_an_amount_is_read_as_it_is_written(minor: int) -> None:
    assert checked(price=f"{minor // 100}.{minor % 100:02}").price == minor


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("19:00", datetime(2026, 3, 19, 19, 0, tzinfo=UTC)),
        ("9:05", datetime(2026, 3, 19, 9, 5, tzinfo=UTC)),
        (" 2026-10-31 19:00 ", datetime(2026, 10, 31, 19, 0, tzinfo=UTC)),
        ("2026-10-31T19:00", datetime(2026, 10, 31, 19, 0, tzinfo=UTC)),
        ("2026-10-31 9:00", datetime(2026, 10, 31, 9, 0, tzinfo=UTC)),
        ("2026-07-01", datetime(2026, 6, 30, 23, 0, tzinfo=UTC)),
        # The hour that comes twice on the last Sunday of October is read as its first.
        ("2026-10-25 01:30", datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),
    ],
)
def test_a_time_is_read_in_the_zone_that_is_meant(typed: str, expected: datetime) -> None:
    assert checking.moment(typed, LONDON, NOW) == expected


def test_a_time_of_day_is_on_the_day_that_it_is_in_the_zone() -> None:
    tokyo = ZoneInfo("Asia/Tokyo")  # there it's the 20th already
    assert checking.moment("00:10", tokyo, NOW) == datetime(2026, 3, 19, 15, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "soon",
        "24:00",
        "19:60",
        "2026-02-30",
        "2026-13-01 10:00",
        "19.00",
        "\u0660\u0669:\u0660\u0660",
        "19:00:00",
        "0001-01-01",
        "9999-12-31 23:59",
    ],
)
@pytest.mark.parametrize("zone", ["Europe/London", "America/New_York", "Asia/Tokyo"])
def test_what_is_no_time_is_refused(typed: str, zone: str) -> None:
    with pytest.raises(InvalidError, match=r"is no time\. Write 19:00 or 2026-10-31 19:00"):
        checking.moment(typed, ZoneInfo(zone), NOW)


def test_an_hour_that_the_clock_skips_is_refused() -> None:
    # Directive 2000/84/EC's rule, the United Kingdom's too: 01:00 UTC on the last Sunday of March.
    with pytest.raises(InvalidError, match="doesn't exist in Europe/London"):
        checking.moment("2026-03-29 01:30", LONDON, NOW)


@few
@given(st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_a_time_written_out_is_read_back_or_an_hour_before_where_it_comes_twice(
    when: datetime,
) -> None:
    minute = when.replace(second=0, microsecond=0)
    typed = f"{minute.astimezone(LONDON):%Y-%m-%d %H:%M}"
    assert minute - checking.moment(typed, LONDON, NOW) in (timedelta(0), timedelta(hours=1))
