"""What a person may type of items, models and places."""

import re
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, field_validator

from kb import trade
from kb.checking import (
    Draft,
    Line,
    OptionalDay,
    OptionalLine,
    OptionalMoney,
    OptionalText,
    clean_line,
    empty_is_none,
)
from kb.errors import InvalidError, quoted
from kb.gear import codes
from kb.records.kinds import ItemState, PlaceKind

_RATE = re.compile(r"([0-9]{1,13}(?:\.[0-9]{1,6})?)\s*(?:([kMG]?)B/s)?$", re.IGNORECASE)
_PREFIXES = {"": 1, "k": 10**3, "m": 10**6, "g": 10**9}


def _no_code(value: str) -> str:
    try:
        code = codes.read(value)
    except InvalidError:
        return value
    msg = f"'{value}' could be read as the code {codes.shown(code)}. Take another name."
    raise ValueError(msg)


def _known_class(value: str | None) -> str | None:
    if value is None or value in trade.CLASSES:
        return value
    msg = f"{quoted(value)} is no class of equipment. Known are: {', '.join(trade.CLASSES)}."
    raise ValueError(msg)


def _pairs(value: object) -> object:
    """Return technical data typed as 'length=3 m, plug=type A', or a line each, as a mapping."""
    if not isinstance(value, str):
        return value
    pairs: dict[str, str] = {}
    mark = "\n" if "\n" in value else ","
    for part in filter(None, (piece.strip() for piece in value.split(mark))):
        name, equals, given = (piece.strip() for piece in part.partition("="))
        if not (equals and name and given):
            msg = f"{quoted(part)} is no NAME=VALUE. Write it like length=3 m, rate=18 Gb/s."
            raise ValueError(msg)
        pairs[name] = given
    return pairs


def _bytes_per_second(value: object) -> object:
    """Return a rate typed like '182 MB/s' in bytes per second; prefixes are decimal (SI)."""
    if not isinstance(value, str):
        return value
    found = _RATE.match(value.strip())
    if not found:
        msg = f"{quoted(value)} is no rate. Write it like 182 MB/s, or in bytes per second."
        raise ValueError(msg)
    return round(float(found[1]) * _PREFIXES[(found[2] or "").lower()])


# Faster than any drive by far; what is above is a slip of units.
Rate = Annotated[int, BeforeValidator(_bytes_per_second), Field(gt=0, le=10**12)]
OptionalRate = Annotated[Rate | None, BeforeValidator(empty_is_none)]


def _clean_pairs(pairs: dict[str, Any]) -> dict[str, Any]:
    return {
        clean_line(name): clean_line(value) if isinstance(value, str) else value
        for name, value in pairs.items()
    }


EquipmentClass = Annotated[OptionalLine, AfterValidator(_known_class)]


class ModelDraft(Draft):
    """A make-and-model, its class and technical data (`length=3 m, plug=type A`)."""

    maker: Line
    name: Line
    equipment_class: EquipmentClass = None
    technical: Annotated[dict[str, Any], BeforeValidator(_pairs), AfterValidator(_clean_pairs)] = (
        Field(default_factory=dict)
    )


class PlaceDraft(Draft):
    """A node of the tree of places; `within` names the one it lies in.

    A site or room may have a cost of its own for a minute lost, and a format: picture and sound.
    """

    name: Annotated[Line, AfterValidator(_no_code)]
    kind: PlaceKind = PlaceKind.AREA
    within: OptionalLine = None
    minute_cost: OptionalMoney = None
    picture: OptionalLine = None
    sound: OptionalLine = None

    @field_validator("minute_cost", "picture", "sound")
    @classmethod
    def _only_a_room(cls, value: object, info: ValidationInfo) -> object:
        if value is not None and info.data.get("kind") not in (PlaceKind.SITE, PlaceKind.ROOM):
            msg = "only a site or a room has one of its own. Say it of the room."
            raise ValueError(msg)
        return value


class ItemDraft(Draft):
    """One physical thing; `model` and `place` are named as a person names them."""

    name: Annotated[Line, AfterValidator(_no_code)]
    model: OptionalLine = None
    batch: OptionalLine = None
    serial: OptionalLine = None
    place: OptionalLine = None
    in_service: OptionalDay = None
    bought: OptionalDay = None
    price: OptionalMoney = None
    supplier: OptionalLine = None
    warranty_until: OptionalDay = None
    note: OptionalText = None


class ItemFilter(Draft):
    """Which items are wanted; without a state all but the retired ones."""

    state: Annotated[ItemState | None, BeforeValidator(empty_is_none)] = None
    equipment_class: EquipmentClass = None
    place: OptionalLine = None
    model: OptionalLine = None
    text: OptionalLine = None


class MoveDraft(Draft):
    """Where an item is put, and why."""

    place: Line
    reason: OptionalLine = None


class StateDraft(Draft):
    """Whether an item may be used, and why."""

    state: ItemState
    reason: OptionalLine = None
