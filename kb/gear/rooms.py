"""What a room has of its own, for all that lies in it: a lost minute, picture and sound."""

from dataclasses import dataclass

from sqlmodel import Session, col, select

from kb.gear import lookup
from kb.records.tables.gear import Place


@dataclass(frozen=True)
class Room:
    """What holds at a place, of the nearest place above that says it; None where none does.

    Attributes:
        minute_cost: Of one lost minute, in minor units of the currency.
        picture: The format recorded, as the crew says it: '1080p at 50 frames'.
        sound: The same of sound.
    """

    minute_cost: int | None = None
    picture: str | None = None
    sound: str | None = None


def at_places(session: Session) -> dict[int, Room]:
    """Return what holds at each place where any place above it says something, by key."""
    said = {
        place.key: Room(place.minute_cost, place.picture, place.sound)
        for place in session.scalars(
            select(Place).where(
                col(Place.minute_cost).is_not(None)
                | col(Place.picture).is_not(None)
                | col(Place.sound).is_not(None)
            )
        )
    }
    if not said:
        return {}
    tree = lookup.Tree(session, retired=True)
    lines = {place.key: tree.above(place.key) for place in tree.places}
    return {key: _nearest(above, said) for key, above in lines.items() if said.keys() & set(above)}


def minute_costs(session: Session) -> dict[int, int]:
    """Return what a lost minute costs at each place where a room says so, by key."""
    found = at_places(session).items()
    return {key: room.minute_cost for key, room in found if room.minute_cost is not None}


def _nearest(above: list[int], said: dict[int, Room]) -> Room:
    rooms = [said[key] for key in above if key in said]
    return Room(
        next((one.minute_cost for one in rooms if one.minute_cost is not None), None),
        next((one.picture for one in rooms if one.picture), None),
        next((one.sound for one in rooms if one.sound), None),
    )
