"""Build the invented studio: its story replayed through the same functions as a crew's own."""

from datetime import datetime, timedelta
from random import Random

from sqlmodel import Session

from kb.crew import people
from kb.demo import gear_acts, use_acts
from kb.demo.acts import MORNING, on
from kb.demo.gear_acts import Hand
from kb.demo.gear_rows import Model, Spare
from kb.demo.story import Story
from kb.entries import folders
from kb.gear import models, places, shows, spares
from kb.records import creating, session, unit, workspace
from kb.records.kinds import Role, ShowKind
from kb.records.settings import Settings
from kb.records.unit import Writer
from kb.records.workspace import Workspace
from kb.search import refresh
from kb.search.sources import Clock

_SET_UP = timedelta(minutes=90)
_LASTS = timedelta(hours=2)


def settings(told: Story) -> Settings:
    """Return the settings of the studio; its clock stands on the story's last day."""
    house = told.house
    return Settings(
        zone=house.zone,
        log_began=house.log_began,
        currency="GBP",
        minute_cost=house.minute_cost_minor,
        today=house.last_day,
    )


def fill(made: Workspace, told: Story, now: datetime) -> None:
    """Fill a workspace in the making with the whole story, and index it.

    Args:
        made: The workspace, its folder and settings there.
        told: The story.
        now: The time now, on the story's last day; the rehearsal is planned from here.

    Raises:
        StorageError: The disk is full or can't be written.
    """
    house = told.house
    lead = next(one.initials for one in told.people if one.role == Role.LEAD)
    # A story, no secret: the same codes at each building.
    hand = Hand(lead, made.settings.timezone, Random(house.seed), gear_acts.paths(told))  # noqa: S311
    with creating.created(made) as engine:
        begun = on(min(item.in_service for item in told.items), MORNING, hand.zone)
        begun -= timedelta(days=1)
        with session.begin(engine, Writer(lead, "terminal", begun)) as one:
            _found(one, told, hand, begun)
            _replay(one, told, hand)
            unit.write_as(one, Writer(lead, "terminal", now))
            _plan_rehearsal(one, now + timedelta(minutes=house.rehearsal_in_minutes))
        with session.read(engine) as one:
            refresh.catch_up(one, made.index, Clock(now, made.settings.hold_days))


def _found(one: Session, told: Story, hand: Hand, at: datetime) -> None:
    """Add what is there from the beginning: people, places, models, the starter base."""
    for person in told.people:
        people.add_person(one, {"name": person.initials, "role": person.role})
    for place in told.places:
        above = hand.paths[place.parent] if place.parent else None
        values = {"name": place.name, "kind": place.kind, "within": above}
        places.add_place(one, values, at, hand.source)
    for model in told.models:
        models.add_model(one, _model(model, told))
    folders.merge_starter(one, workspace.starter("entries"), at)


def _model(model: Model, told: Story) -> dict[str, object]:
    """Return a model as it's typed; what was decided about it stands in its data."""
    technical = {
        "what": model.what,
        "length": f"{model.length_mm / 1000:g} m" if model.length_mm else None,
        "plugs": model.connector,
        "capacity": f"{model.capacity_bytes // 10**12} TB" if model.capacity_bytes else None,
    }
    decided = {f"{note.on}": note.text for note in told.notes if model.name in note.about}
    return {
        "maker": model.maker,
        "name": model.name,
        "equipment_class": model.equipment_class,
        "technical": {name: value for name, value in technical.items() if value} | decided,
    }


def _replay(one: Session, told: Story, hand: Hand) -> None:
    """Do every act of the story in the order of time, each in the name of who did it."""
    acts = [*gear_acts.of(told, hand), *use_acts.of(told, hand)]
    for act in sorted(acts, key=lambda act: (act.at, act.turn)):
        unit.write_as(one, Writer(act.by, "terminal", act.at))
        act.does(one)
        one.flush()
    for spare in told.spares:
        _set_spare(one, spare, told, hand)


def _plan_rehearsal(one: Session, air: datetime) -> None:
    values = {
        "title": "Rehearsal",
        "kind": ShowKind.REHEARSAL,
        "set_up_from": air - _SET_UP,
        "air_at": air,
        "ends_at": air + _LASTS,
    }
    shows.add_show(one, values)
    one.flush()


def _set_spare(one: Session, spare: Spare, told: Story, hand: Hand) -> None:
    """Set how many must lie ready, and where."""
    values = {
        "name": spare.name,
        "minimum": spare.minimum,
        "models": spare.models,
        "place": hand.paths[spare.place],
        "needed_rate": spare.needed_bytes_per_second,
        "on_hand": _by_hand(spare, told),
    }
    spares.set_spare(one, values)


def _by_hand(spare: Spare, told: Story) -> int | None:
    """Return how many there are of what has no labels: as counted last, else all that must be."""
    if not spare.by_hand:
        return None
    counted = [count for count in told.spare_counts if count.spare == spare.name]
    last = max(counted, key=lambda count: count.on, default=None)
    return last.count if last else spare.minimum
