"""The invented studio, built as a crew builds its own, says of its gear what its story says."""

from collections import Counter
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import calls
import pytest
from sqlmodel import Session, SQLModel, col, select

from kb.demo import build, gear_acts
from kb.demo import story as told
from kb.demo.story import Story
from kb.gear import codes, loans, lookup, spares
from kb.records import opening, position, settings, workspace
from kb.records import session as units
from kb.records.kinds import ItemState
from kb.records.tables.crew import Person
from kb.records.tables.gear import Code, Item, Model, Place, Placement, StateSpell
from kb.records.tables.use import DriveTest, Link, Loan, Service, ServiceItem
from kb.records.workspace import Workspace
from kb.search import index
from kb.search.documents import KINDS

LONDON = ZoneInfo("Europe/London")
LAST_DAY = date(2026, 10, 31)
# The machine's time of day on the story's last day; London's clock shows UTC by then.
NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def story() -> Story:
    return told.load()


@pytest.fixture
def place(demo_made: Path) -> Workspace:
    return workspace.opened(demo_made)


def items(session: Session) -> dict[str, Item]:
    return {item.name: item for item in session.scalars(select(Item))}


def names(session: Session) -> dict[int, str]:
    return {item.key: item.name for item in session.scalars(select(Item))}


def day(at: datetime) -> date:
    return at.astimezone(LONDON).date()


def test_its_settings_are_those_of_the_house(place: Workspace) -> None:
    kept = settings.load(place.folder)
    assert (kept.zone, kept.log_began) == ("Europe/London", date(2025, 5, 1))
    assert (kept.currency, kept.minute_cost) == ("GBP", 1200)  # one minute lost costs 12.00
    assert kept.today == LAST_DAY
    assert place.now(calls.NOW) == NOW
    # The time of day is the machine's in the house's zone, also across a change of the clocks.
    summer = datetime(2027, 7, 1, 23, 30, tzinfo=UTC)  # 00:30 of the next day in London
    assert place.now(summer) == datetime(2026, 10, 31, 0, 30, tzinfo=UTC)


def test_the_people_are_there_with_their_roles(demo: Session, story: Story) -> None:
    found = {person.name: person.role for person in demo.scalars(select(Person))}
    assert found == {person.initials: person.role for person in story.people}


def test_every_place_is_there_under_its_parent(demo: Session, story: Story) -> None:
    tree = lookup.Tree(demo)
    found = {tree.path(one.key): one.kind for one in demo.scalars(select(Place))}
    assert found == {gear_acts.paths(story)[one.key]: one.kind for one in story.places}


def test_every_item_is_there_with_model_batch_serial_price_and_days(
    demo: Session, story: Story
) -> None:
    models = {model.key: model for model in demo.scalars(select(Model))}
    found = {
        one.name: (
            models[one.model_id].name,
            one.batch,
            one.serial,
            one.in_service,
            one.price_minor,
        )
        for one in items(demo).values()
        if one.model_id
    }
    assert found == {
        one.name: (one.model, one.batch, one.serial, one.in_service, one.price_minor)
        for one in story.items
    }
    assert {(one.maker, one.name, one.equipment_class) for one in models.values()} == {
        (one.maker, one.name, one.equipment_class) for one in story.models
    }


def test_every_item_is_in_its_state_since_its_day(demo: Session, story: Story) -> None:
    by_name = items(demo)
    spells: dict[int, list[tuple[str, date]]] = {}
    for spell in demo.scalars(select(StateSpell).order_by(col(StateSpell.since))):
        spells.setdefault(spell.item_id, []).append((spell.state, day(spell.since)))
    for one in story.items:
        wanted = [(ItemState.FIT, one.in_service)]
        if one.set_aside_on:
            wanted.append((ItemState.SET_ASIDE, one.set_aside_on))
        if one.retired_on:
            wanted.append((ItemState.RETIRED, one.retired_on))
        assert spells[by_name[one.name].key] == wanted, one.name
        assert by_name[one.name].state == wanted[-1][0]
    states = Counter(one.state for one in by_name.values())
    # Scenario: 130 ever owned, 11 retired, 5 set aside, 114 in use at the end.
    assert states == {ItemState.FIT: 114, ItemState.SET_ASIDE: 5, ItemState.RETIRED: 11}


def test_every_item_lay_where_the_story_puts_it(demo: Session, story: Story) -> None:
    tree, paths = lookup.Tree(demo), gear_acts.paths(story)
    lay: dict[str, list[tuple[date, str]]] = {}
    by_key = names(demo)
    for one in demo.scalars(select(Placement).order_by(col(Placement.since), col(Placement.id))):
        lay.setdefault(by_key[one.item_id], []).append((day(one.since), tree.path(one.place_id)))
    wanted = {one.name: [(one.in_service, paths[one.place])] for one in story.items}
    for move in sorted(story.moves, key=lambda move: move.on):
        wanted[move.item].append((move.on, paths[move.place]))
    assert lay == wanted
    assert {one.name: tree.path(one.place_id) for one in items(demo).values()} == {
        name: steps[-1][1] for name, steps in wanted.items()
    }


def test_every_code_is_sound_and_there_once(demo: Session) -> None:
    drawn = [code.code for code in demo.scalars(select(Code))]
    assert len(drawn) == len(set(drawn))
    assert [codes.read(code) for code in drawn] == drawn
    assert {one.code for one in items(demo).values()} <= set(drawn)


def test_every_link_joins_what_the_story_joins(demo: Session, story: Story) -> None:
    by_key = names(demo)
    found = Counter(
        (
            by_key.get(one.cable_id or 0),
            (by_key[one.from_item_id], one.from_port, by_key[one.to_item_id], one.to_port),
            day(one.since),
            day(one.until) if one.until else None,
        )
        for one in demo.scalars(select(Link))
    )
    assert found == Counter(
        (
            one.cable,
            (one.from_item, one.from_port, one.to_item, one.to_port),
            one.since,
            one.until,
        )
        for one in story.links
    )


def test_services_name_their_items_and_results(demo: Session, story: Story) -> None:
    by_key = names(demo)
    services = {(one.work, day(one.at)): one for one in demo.scalars(select(Service))}
    lines: dict[int, set[tuple[str, str | None]]] = {}
    for one in demo.scalars(select(ServiceItem)):
        lines.setdefault(one.service_id, set()).add((by_key[one.item_id], one.result))
    assert len(services) == len(story.services)
    for wanted in story.services:
        found = services[wanted.work, wanted.on]
        assert (found.kind, found.tester) == (wanted.kind, wanted.tester)
        assert (found.cost_minor, found.next_due) == (wanted.cost_minor, wanted.next_due)
        assert (found.fault_id is None) == (wanted.fault is None)
        assert lines.get(found.key, set()) == {
            (one.item, one.result) for one in story.service_items if one.service == wanted.number
        }


def test_loans_and_drive_tests_are_those_of_the_story(demo: Session, story: Story) -> None:
    by_key = names(demo)
    found = Counter(
        (by_key[one.item_id], one.borrower, day(one.out_at), one.back_at and day(one.back_at))
        for one in demo.scalars(select(Loan))
    )
    told_of = [one for one in story.loans if one.item]
    assert found == Counter(
        (one.item, one.borrower, one.out_on, one.back_on) for one in told_of if one.item
    )
    # Scenario: US-04 is not back, HD-18 is away at the end.
    assert {one.name for one in loans.open_loans(demo)} == {"US-04", "HD-18"}
    tests = Counter(
        (by_key[one.item_id], day(one.at), one.write_rate)
        for one in demo.scalars(select(DriveTest))
    )
    assert tests == Counter(
        (one.drive, one.on, one.bytes_per_second) for one in story.drive_speeds
    )


def test_spares_lay_ready_as_they_were_counted(demo: Session, story: Story) -> None:
    lines = {one.name: one for one in spares.spares(demo, NOW)}
    assert {name: one.minimum for name, one in lines.items()} == {
        one.name: one.minimum for one in story.spares
    }
    by_hand = {one.name for one in story.spares if one.by_hand}
    for counted in story.spare_counts:
        if counted.spare not in by_hand:
            evening = datetime.combine(counted.on, time(23), LONDON)
            assert spares.count(demo, counted.spare, evening) == counted.count, counted
    # Scenario: the battery is gone since 2025-10-06, one thin lead is left of four.
    assert lines["UPS battery"].ready == 0
    assert {"HDMI 2 to 3 m", "UPS battery"} <= {one.name for one in spares.short(demo, NOW)}


def test_its_index_is_up_to_date(place: Workspace) -> None:
    newest = position.of_file(place.database)
    assert newest is not None
    for which in KINDS:
        assert index.position(place.index, which) == newest.dumps()


def test_built_twice_it_is_the_same_codes_and_all(
    demo: Session, story: Story, tmp_path: Path
) -> None:
    folder = tmp_path / "again"
    with workspace.building(folder, build.settings(story)) as made:
        build.fill(made, story, NOW)
    engine = opening.open_engine(workspace.opened(folder))
    with units.read(engine) as again:
        for table in SQLModel.metadata.sorted_tables:
            if table.name != "base":
                rows = demo.execute(table.select()).all()
                assert again.execute(table.select()).all() == rows, table.name
    engine.dispose()
