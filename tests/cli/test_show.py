"""`show`: planned, changed, called off; the next one and the minutes to air."""

import pytest
from calls import Refused, Run

PLAN = ("show", "add", "Panel 62", "--air", "2026-11-26 20:00", "--set-up", "15:00")


@pytest.fixture
def planned(run: Run) -> Run:
    """Return what runs the command where one show is planned."""
    added = run(*PLAN, "--ends", "22:30", "--place", "Control room")
    assert added.out == "Show 1: Panel 62, 2026-11-26 20:00.\n"
    return run


def titles(run: Run, *words: str) -> list[str]:
    """Return the titles of the shows that a call lists."""
    return [show["title"] for show in run("show", "list", *words, "--json").json]


def test_times_of_day_are_on_the_day_of_air(planned: Run) -> None:
    (show,) = planned("show", "list", "--json").json

    assert show["set_up_from"] == "2026-11-26T15:00:00+00:00"
    assert show["ends_at"] == "2026-11-26T22:30:00+00:00"
    listed = " ".join(planned("show", "list").out.split())
    assert listed.endswith("1 2026-11-26 20:00 15:00 22:30 Panel 62 Control room")


def test_an_end_after_midnight_is_shown_with_its_day(planned: Run) -> None:
    planned("show", "change", 1, "--ends", "2026-11-27 00:30")

    assert "2026-11-27 00:30" in " ".join(planned("show", "list").out.split())


def test_the_clock_of_summer_counts_in_summer(run: Run) -> None:
    run("show", "add", "Summer panel", "--air", "2027-07-01 20:00")

    (show,) = run("show", "list", "--json").json
    assert show["air_at"] == "2027-07-01T19:00:00+00:00"


def test_the_list_begins_today_unless_said_otherwise(planned: Run) -> None:
    planned("show", "add", "Past", "--air", "2026-11-18 20:00")
    planned("show", "add", "This morning", "--air", "09:00", "--kind", "rehearsal")

    assert titles(planned) == ["This morning", "Panel 62"]
    assert titles(planned, "--from", "2026-11-01", "--until", "2026-11-19") == ["Past"]
    assert "rehearsal" in planned("show", "list").out


def test_the_next_show_and_the_minutes_to_air(planned: Run) -> None:
    planned("show", "add", "Run-through", "--air", "18:00", "--kind", "rehearsal")

    assert planned("show", "next").out.splitlines()[0] == "Run-through: 2 h 30 min to air"
    assert planned("show", "next", "--json").json["minutes_to_air"] == 150


def test_no_show_planned_is_the_answer_no(run: Run) -> None:
    assert run("show", "next").code == 1
    assert run("show", "next").out == "No show is planned.\n"
    asked = run("show", "next", "--json")
    assert (asked.code, asked.json) == (1, {"show": None, "minutes_to_air": None})
    assert run("show", "list").out == (
        "No show in that time. Plan one: kitlore show add TITLE --air TIME\n"
    )


def test_one_called_off_is_no_next_one_until_it_stands_again(planned: Run) -> None:
    assert planned("show", "cancel", 1).out == "Show 1 is called off.\n"
    assert (titles(planned), titles(planned, "--cancelled")) == ([], ["Panel 62"])
    assert "called off" in planned("show", "list", "--cancelled").out
    assert planned("show", "next").code == 1

    assert planned("show", "reinstate", 1).out == "Show 1 stands again.\n"
    assert planned("show", "next").code == 0


def test_a_change_of_air_moves_no_other_time(planned: Run) -> None:
    planned("show", "change", 1, "--air", "2026-11-26 20:30", "--title", "Panel 62b")
    planned("show", "change", 1, "--ends", "")

    (show,) = planned("show", "list", "--json").json
    assert show["title"] == "Panel 62b"
    assert show["air_at"] == "2026-11-26T20:30:00+00:00"
    assert show["set_up_from"] == "2026-11-26T15:00:00+00:00"
    assert show["ends_at"] is None


def test_the_second_writer_is_told_what_the_first_changed(planned: Run) -> None:
    planned("show", "change", 1, "--title", "Panel 63", "--seen", 1)

    for words in (("change", 1, "--title", "Panel 64"), ("cancel", 1)):
        result = planned("show", *words, "--seen", 1)
        assert result.code == 2
        assert "jp: title 'Panel 62' -> 'Panel 63'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add", "X"), "Usage: kitlore show add"),
        (("add", "X", "--air", "25:00"), "time: '25:00' is no time."),
        (("add", "X", "--air", "2027-03-28 01:30"), "time: 2027-03-28 01:30 doesn't exist"),
        (("add", "", "--air", "20:00"), "title: it is empty."),
        (("add", "X", "--air", "20:00", "--ends", "19:00"), "ends at: it's before the air time."),
        (("add", "X", "--air", "20:00", "--set-up", "21:00"), "set up from: it's after the air"),
        (("add", "X", "--air", "20:00", "--place", "attic"), "No place 'attic'."),
        (("add", "X", "--air", "20:00", "--kind", "party"), "Usage: kitlore show add"),
        (("list", "--from", "soon"), "time: 'soon' is no time."),
        (("change", "9", "--title", "x"), "No show '9'."),
        (("change", "9"), "option: say what to change"),
        (("cancel", "9"), "No show '9'."),
        (("cancel", str(10**20)), "No show '1000"),
        (("reinstate", "9"), "No show '9'."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("show", *words).startswith(told)
