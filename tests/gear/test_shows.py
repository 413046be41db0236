"""Shows are planned and called off, and each time belongs to one or to none."""

from datetime import UTC, datetime, timedelta

import pytest
from builders import a_place
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import lookup, shows

AIR = datetime(2026, 3, 19, 19, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)


def a_show(session: Session, air: datetime = AIR, **over: object) -> int:
    return shows.add_show(session, {"title": "Panel 12", "air_at": air, **over})


def at_hours(session: Session, *hours: float) -> list[str | None]:
    """Return the title of the show that each time belongs to, in hours from the air time."""
    found = [shows.show_at(session, AIR + hour * HOUR) for hour in hours]
    return [show.title if show else None for show in found]


def test_a_show_keeps_what_was_typed_of_it(session: Session) -> None:
    a_place(session, "ST")
    times = {"set_up_from": AIR - 3 * HOUR, "ends_at": AIR + 2 * HOUR}
    number = a_show(session, kind="rehearsal", place="st", **times)
    line = shows.show_by(session, number)
    assert (line.title, line.kind, line.place) == ("Panel 12", "rehearsal", "ST")
    assert (line.set_up_from, line.air_at, line.ends_at) == (
        AIR - 3 * HOUR,
        AIR,
        AIR + 2 * HOUR,
    )
    assert (line.version, line.cancelled_at) == (1, None)


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"title": ""}, "title: it is empty"),
        ({"kind": "party"}, "kind: 'party' is none of 'show' or 'rehearsal'"),
        ({"air_at": "19:00"}, "air at: '19:00' does not fit"),
        ({"air_at": datetime(2026, 3, 19, 19)}, "air at: "),  # noqa: DTZ001 - naive on purpose
        ({"set_up_from": AIR + MINUTE}, "set up from: it's after the air time"),
        ({"ends_at": AIR - MINUTE}, "ends at: it's before the air time"),
    ],
)
def test_what_does_not_fit_is_told(
    session: Session, values: dict[str, object], sentence: str
) -> None:
    with pytest.raises(InvalidError) as caught:
        shows.add_show(session, {"title": "Panel 12", "air_at": AIR, **values})
    assert sentence in caught.value.message


def test_fields_not_given_stay(session: Session) -> None:
    a_place(session, "ST")
    number = a_show(session, place="ST", ends_at=AIR + HOUR)
    shows.change_show(session, number, {"title": "Panel 13"})
    line = shows.show_by(session, number)
    assert (line.title, line.place, line.ends_at) == ("Panel 13", "ST", AIR + HOUR)
    shows.change_show(session, number, {"place": "", "ends_at": ""})
    line = shows.show_by(session, number)
    assert (line.place, line.ends_at) == (None, None)


def test_a_change_is_checked_as_a_whole(session: Session) -> None:
    number = a_show(session, ends_at=AIR + HOUR)
    with pytest.raises(InvalidError, match="ends at: it's before the air time"):
        shows.change_show(session, number, {"air_at": AIR + 2 * HOUR})
    with pytest.raises(NotFoundError, match="No place 'nowhere'"):
        shows.change_show(session, number, {"place": "nowhere"})
    for missing in (999, 10**30):
        with pytest.raises(NotFoundError, match=f"No show '{missing}'"):
            shows.change_show(session, missing, {"title": "x"})
        with pytest.raises(NotFoundError, match=f"No show '{missing}'"):
            shows.show_by(session, missing)


def test_a_show_is_called_off_and_put_back(session: Session, at: datetime) -> None:
    number = a_show(session)
    shows.cancel_show(session, number, at)
    assert shows.show_by(session, number).cancelled_at == at
    assert shows.next_show(session, at) is None
    assert shows.show_at(session, AIR) is None
    with pytest.raises(ConflictError, match="is called off already"):
        shows.cancel_show(session, number, at)
    shows.reinstate_show(session, number)
    assert shows.next_show(session, at) is not None
    with pytest.raises(ConflictError, match="is not called off"):
        shows.reinstate_show(session, number)


def test_a_time_belongs_to_a_show_from_set_up_to_end(session: Session) -> None:
    a_show(session, set_up_from=AIR - 2 * HOUR, ends_at=AIR + HOUR)
    second = 1 / 3600
    assert at_hours(session, -2 - second, -2, 0, 1 - second, 1) == [
        None,
        "Panel 12",
        "Panel 12",
        "Panel 12",
        None,
    ]


def test_without_a_plan_it_is_six_hours_before_to_four_after(session: Session) -> None:
    # Common practice, no source.
    a_show(session)
    second = 1 / 3600
    assert at_hours(session, -6 - second, -6, 4 - second, 4) == [
        None,
        "Panel 12",
        "Panel 12",
        None,
    ]


def test_of_two_the_one_on_air_goes_first_then_the_nearest(session: Session) -> None:
    a_show(session, AIR - 4 * HOUR, title="run-through", ends_at=AIR - HOUR)
    a_show(session, title="show")
    # From an hour and a half before air the show is nearer, but the run-through is still on.
    assert at_hours(session, -4.5, -3, -1.5, -1, 2) == [
        "run-through",
        "run-through",
        "run-through",
        "show",
        "show",
    ]


def test_of_two_without_an_end_the_nearest_air_time_decides(session: Session) -> None:
    a_show(session, AIR - 4 * HOUR, title="run-through")
    a_show(session, title="show")
    assert at_hours(session, -2.5, -1.5) == ["run-through", "show"]


def test_the_next_one_is_the_first_not_yet_on_air(session: Session) -> None:
    a_show(session, AIR + 24 * HOUR, title="tomorrow")
    a_show(session, title="today")
    titles = [
        show.title if show else None
        for show in (
            shows.next_show(session, AIR - HOUR),
            shows.next_show(session, AIR),
            shows.next_show(session, AIR + MINUTE),
            shows.next_show(session, AIR + 25 * HOUR),
        )
    ]
    assert titles == ["today", "today", "tomorrow", None]


@pytest.mark.parametrize(
    ("before", "minutes"),
    [
        (timedelta(minutes=90), 90),
        (timedelta(minutes=89, seconds=59), 89),
        (timedelta(seconds=59), 0),
        (timedelta(0), 0),
        (timedelta(minutes=-1), None),
    ],
)
def test_the_minutes_to_air_are_whole_ones_that_are_left(
    session: Session, before: timedelta, minutes: int | None
) -> None:
    a_show(session)
    assert shows.minutes_to_air(session, AIR - before) == minutes


def test_shows_are_listed_by_air_time_in_half_open_days(session: Session, at: datetime) -> None:
    late, early = a_show(session, title="late"), a_show(session, AIR - HOUR, title="early")
    a_show(session, AIR + HOUR, title="next")
    shows.cancel_show(session, early, at)
    listed = shows.shows(session, AIR - HOUR, AIR + HOUR)
    assert [line.number for line in listed] == [late]
    everything = shows.shows(session, AIR - HOUR, AIR + HOUR, cancelled=True)
    assert [line.title for line in everything] == ["early", "late"]


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    number = a_show(session)
    shows.change_show(session, number, {"title": "Panel 13"}, seen=1)
    with pytest.raises(ConflictError, match="title 'Panel 12' -> 'Panel 13'"):
        shows.change_show(session, number, {"title": "Panel 14"}, seen=1)
    with pytest.raises(ConflictError, match="title 'Panel 12' -> 'Panel 13'"):
        shows.cancel_show(session, number, at, seen=1)


def test_of_two_rooms_each_has_its_own_show(session: Session) -> None:
    for path, within in (("House", ""), ("Studio", "House"), ("Annexe", "House")):
        a_place(session, path, kind="room", **({"within": within} if within else {}))
    a_place(session, "rack", within="House/Studio", kind="rack")
    a_show(session, title="In the studio", place="House/Studio")
    a_show(session, title="In the annexe", place="House/Annexe", air_at=AIR + HOUR)

    def at(path: str) -> tuple[str | None, str | None, int | None]:
        there = shows.around(session, lookup.place(session, path).key)
        on, after = (
            shows.show_at(session, AIR, there),
            shows.next_show(session, AIR - MINUTE, there),
        )
        minutes = shows.minutes_to_air(session, AIR - MINUTE, there)
        return (on.title if on else None), (after.title if after else None), minutes

    assert at("House/Studio/rack") == ("In the studio", "In the studio", 1)
    assert at("House/Annexe") == ("In the annexe", "In the annexe", 61)
    assert at("House")[1:] == ("In the studio", 1)
