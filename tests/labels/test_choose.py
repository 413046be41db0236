"""The labels chosen say what the crew wants them to say."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from builders import a_cable, a_model, a_place, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import ahead, items, upkeep, views
from kb.labels import choose
from kb.labels.text import LabelText
from kb.labels.wishes import Extras

AT = datetime(2026, 3, 19, 23, 30, tzinfo=UTC)


@pytest.fixture
def studio(session: Session) -> Session:
    a_place(session, "RR")
    a_place(session, "case 3", kind="case", within="RR")
    an_item(session, "CC-01", place="RR/case 3")
    a_cable(session, "HD-04")
    return session


def codes_of(session: Session) -> dict[str, str]:
    places = {line.name: line.code for line in views.place_lines(session)}
    return places | {line.name: line.code for line in views.item_lines(session, {})}


def test_things_places_and_unused_codes_are_named_alike(studio: Session) -> None:
    known = codes_of(studio)
    (free,) = ahead.reserve(studio, 1, AT)
    made = choose.named(studio, ["case 3", "CC-01", known["RR"], free])
    assert made == (
        LabelText(known["case 3"], "case 3"),
        LabelText(known["CC-01"], "CC-01"),
        LabelText(known["RR"], "RR"),
        LabelText(free, ""),
    )


def test_a_cable_has_a_label_for_each_end_with_what_its_model_tells(studio: Session) -> None:
    model = a_model(studio, name="Stout 2", technical="length=3 m, diameter=7.3 mm")
    a_cable(studio, "HD-05", model=model)
    made = choose.named(studio, ["HD-04", "HD-05"], Extras(diameter=5.0))
    assert [(label.name, label.end, label.diameter) for label in made] == [
        ("HD-04", "A", 5.0),
        ("HD-04", "B", 5.0),
        ("HD-05", "A", 7.3),
        ("HD-05", "B", 7.3),
    ]


def test_labels_say_what_the_crew_chooses(studio: Session) -> None:
    values = {"kind": "inspection", "work": "looked at", "items": "CC-01=pass", "tester": None}
    upkeep.add_service(studio, values, AT)
    extras = Extras(place=True, inspected=ZoneInfo("Asia/Tokyo"), return_to="5 Mill Lane")
    first, second, third = choose.all_items(studio, extras)
    # Half past eleven in the evening UTC is the next day in Tokyo.
    assert first.lines == ("case 3, RR", "Inspected 2026-03-20", "Return to: 5 Mill Lane")
    assert second.lines == third.lines == ("Return to: 5 Mill Lane",)
    told = {label.name: label.lines for label in choose.all_places(studio, extras)}
    assert told["case 3"] == ("RR", "Return to: 5 Mill Lane")


def test_what_is_retired_gets_none_with_all(studio: Session) -> None:
    items.set_state(studio, "CC-01", "retired", AT, "burnt")
    assert {label.name for label in choose.all_items(studio)} == {"HD-04"}


def test_a_replaced_code_prints_the_one_that_counts_now(studio: Session) -> None:
    old = codes_of(studio)["CC-01"]
    (new,) = ahead.reserve(studio, 1, AT)
    ahead.relabel(studio, "CC-01", new, AT)
    assert [label.code for label in choose.named(studio, [old])] == [new]


def test_nothing_to_label_is_told(session: Session) -> None:
    with pytest.raises(InvalidError, match="name what to label, or say --all"):
        choose.named(session, [])
    with pytest.raises(NotFoundError, match="No item in 'this workspace'"):
        choose.all_items(session)
    with pytest.raises(NotFoundError, match="No place in 'this workspace'"):
        choose.all_places(session)
    with pytest.raises(NotFoundError, match="No unused code in 'this workspace'"):
        choose.of_codes(session, ahead.unused(session))


@pytest.mark.parametrize(
    ("typed", "error", "said"),
    [
        ("ZZ-99", NotFoundError, "No item 'ZZ-99'"),
        ("K7M4XV", NotFoundError, "It was never drawn here"),
        ("K7M4XW", InvalidError, "is no code"),
    ],
)
def test_what_is_unknown_is_told(
    typed: str, error: type[Exception], said: str, studio: Session
) -> None:
    with pytest.raises(error, match=said):
        choose.named(studio, ["CC-01", typed])


def test_a_place_of_several_paths_is_asked_back(studio: Session) -> None:
    a_place(studio, "ST")
    a_place(studio, "case 3", kind="case", within="ST")
    with pytest.raises(ConflictError, match="may be 'RR/case 3', 'ST/case 3'"):
        choose.named(studio, ["case 3"])
