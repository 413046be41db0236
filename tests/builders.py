"""What tests are built from: valid by default, one thing overridden at a time.

Makers, models and people are invented.
"""

from datetime import UTC, datetime
from random import Random

from sqlmodel import Session, func, select

from kb.errors import ConflictError
from kb.gear import items, models, places
from kb.records.tables.gear import Code

BEGAN = datetime(2025, 5, 19, 8, 0, tzinfo=UTC)


def a_model(session: Session, **over: object) -> str:
    """Return the name of a model; one that is there already is not made again."""
    values = {"maker": "Ossprell", "name": "Ribbonet 3", "equipment_class": "cable", **over}
    try:
        return models.add_model(session, values)
    except ConflictError:
        return f"{values['maker']} {values['name']}"


def a_place(session: Session, name: str = "RR", **over: object) -> str:
    """Return the path of a place that was made."""
    places.add_place(session, {"name": name, "kind": "room", **over}, BEGAN, _chance(session))
    return f"{over['within']}/{name}" if over.get("within") else name


def an_item(session: Session, name: str = "CC-01", *, at: datetime = BEGAN, **over: object) -> str:
    """Return the code of an item that was made: a call computer unless told otherwise."""
    if "model" not in over:
        over["model"] = a_model(
            session, maker="Grundel", name="Parlour 2", equipment_class="call-computer"
        )
    return items.add_item(session, {"name": name, **over}, at, _chance(session))


def a_cable(session: Session, name: str = "HD-01", *, at: datetime = BEGAN, **over: object) -> str:
    """Return the code of a cable that was made."""
    return an_item(session, name, model=over.pop("model", a_model(session)), at=at, **over)


def a_drive(session: Session, name: str = "DR-01", *, at: datetime = BEGAN, **over: object) -> str:
    """Return the code of a drive that was made."""
    model = a_model(session, maker="Silo", name="1T", equipment_class="drive")
    return an_item(session, name, model=over.pop("model", model), at=at, **over)


def _chance(session: Session) -> Random:
    """Return a source that draws the same codes each time, and another one for each thing."""
    return Random(session.scalars(select(func.count()).select_from(Code)).one())  # noqa: S311
