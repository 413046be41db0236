"""Lists show what is wanted, and cost the same few queries however long they are."""

from datetime import datetime

import pytest
from builders import a_cable, a_drive, a_model, a_place, an_item
from sqlalchemy import Engine, event
from sqlmodel import Session

from kb.errors import InvalidError, NotFoundError
from kb.gear import items, loans, places, views


@pytest.fixture(autouse=True)
def _gear(session: Session, at: datetime) -> None:
    a_place(session, "RR")
    a_place(session, "R1", within="RR", kind="rack")
    a_place(session, "C1")
    an_item(session, "CC-01", place="RR", batch="B1", serial="S-77")
    an_item(session, "cc-02", place="R1", note="100% loud_fan")
    a_cable(session, "HD-01", place="C1")
    a_drive(session, "Ärger-1")
    an_item(session, "CC-09")
    items.set_state(session, "HD-01", "doubtful", at)
    items.set_state(session, "CC-09", "retired", at, "burnt")
    loans.lend(session, "CC-01", {"borrower": "a school"}, at)


def named(session: Session, **values: str) -> list[str]:
    return [line.name for line in views.item_lines(session, values)]


def test_an_item_is_shown_with_all_a_list_tells(session: Session) -> None:
    (line,) = views.item_lines(session, {"text": "CC-01"})
    assert (line.name, line.model, line.equipment_class) == (
        "CC-01",
        "Grundel Parlour 2",
        "call-computer",
    )
    assert (line.state, line.place, line.batch) == ("fit", "RR", "B1")
    assert line.on_loan_to == "a school"
    (line,) = views.item_lines(session, {"text": "cc-02"})
    assert (line.place, line.batch, line.on_loan_to) == ("RR/R1", None, None)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({}, ["CC-01", "cc-02", "HD-01", "Ärger-1"]),
        ({"state": "retired"}, ["CC-09"]),
        ({"state": "doubtful"}, ["HD-01"]),
        ({"equipment_class": "call-computer"}, ["CC-01", "cc-02"]),
        ({"place": "RR"}, ["CC-01", "cc-02"]),
        ({"place": "rr/r1"}, ["cc-02"]),
        ({"model": "Parlour 2"}, ["CC-01", "cc-02"]),
        ({"text": "s-77"}, ["CC-01"]),
        ({"text": "b1"}, ["CC-01"]),
        ({"text": "grundel  CC"}, ["CC-01", "cc-02"]),
        ({"text": "ribbon"}, ["HD-01"]),
        ({"text": "ärger"}, ["Ärger-1"]),
        ({"text": "ÄRGER"}, ["Ärger-1"]),
        # What stands for 'anything' in the database's own patterns stands for itself here.
        ({"text": "%"}, ["cc-02"]),
        ({"text": "d_f"}, ["cc-02"]),
        ({"text": "c_0"}, []),
        ({"text": "cc", "place": "C1"}, []),
        ({"state": "", "equipment_class": "", "place": " ", "model": "", "text": ""}, None),
    ],
)
def test_a_filter_keeps_what_is_wanted(
    session: Session, values: dict[str, str], expected: list[str] | None
) -> None:
    everything = ["CC-01", "cc-02", "HD-01", "Ärger-1"]
    wanted = everything if expected is None else expected
    assert named(session, **values) == wanted
    assert views.item_count(session, values) == len(wanted)


def test_a_filter_that_does_not_fit_is_told(session: Session) -> None:
    with pytest.raises(InvalidError, match="'toaster' is no class of equipment"):
        views.item_lines(session, {"equipment_class": "toaster"})
    with pytest.raises(InvalidError, match="state: 'broken' is none of"):
        views.item_count(session, {"state": "broken"})
    with pytest.raises(NotFoundError, match="No place 'nowhere'"):
        views.item_lines(session, {"place": "nowhere"})


def test_a_code_read_off_a_label_finds_its_item(session: Session) -> None:
    code = an_item(session, "MV-01")
    assert named(session, text=f"{code[:3].lower()} {code[3:]}") == ["MV-01"]


def test_a_long_list_comes_in_pages(session: Session) -> None:
    pages = [
        [line.name for line in views.item_lines(session, {}, limit=2, offset=offset)]
        for offset in (0, 2, 4)
    ]
    assert pages == [["CC-01", "cc-02"], ["HD-01", "Ärger-1"], []]


def test_a_merged_record_is_in_no_list(session: Session, at: datetime) -> None:
    items.merge_item(session, "cc-02", "CC-01", at)
    assert named(session, text="cc") == ["CC-01"]
    assert named(session, state="retired") == ["CC-09"]


def test_models_are_listed_with_how_many_there_are(session: Session) -> None:
    a_model(session, name="Stout 2", technical="length=2 m")
    listed = [(line.maker, line.name, line.items) for line in views.model_lines(session)]
    assert listed == [
        ("Grundel", "Parlour 2", 2),
        ("Ossprell", "Ribbonet 3", 1),
        ("Ossprell", "Stout 2", 0),
        ("Silo", "1T", 1),
    ]
    assert views.model_lines(session)[2].technical == {"length": "2 m"}


def test_places_are_listed_as_a_tree_with_their_codes(session: Session, at: datetime) -> None:
    kept = views.place_lines(session)[0].code
    places.add_place(session, {"name": "c one", "kind": "bin"}, at)
    places.merge_place(session, "c one", "C1")
    listed = [(line.path, line.kind, line.items) for line in views.place_lines(session)]
    assert listed == [("C1", "room", 1), ("RR", "room", 1), ("RR/R1", "rack", 1)]
    assert views.place_lines(session)[0].code == kept
    assert all(len(line.code) == 6 for line in views.place_lines(session))


def test_a_list_costs_the_same_queries_however_long_it_is(
    session: Session, engine: Engine
) -> None:
    asked: list[str] = []
    event.listen(engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
    views.item_lines(session, {})
    few = len(asked)
    for number in range(30):
        an_item(session, f"MV-{number:02}", place="RR")
    asked.clear()
    assert len(views.item_lines(session, {})) == 34
    assert len(asked) == few
