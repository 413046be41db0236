"""What the files of the invented studio hold about the house and its gear, row by row."""

from dataclasses import dataclass
from datetime import date

from kb.records.kinds import PlaceKind, Role


@dataclass(frozen=True)
class House:
    """The studio itself.

    Attributes:
        name: What it is called.
        zone: In which its days are cut, by IANA name.
        log_began: The first day of the log.
        last_day: The last day of the story.
        seed: From which everything is drawn that the files do not say.
        picture: The house format.
        sound: The house format.
        record_bytes_per_second: What the record codec writes.
        drive_factor: How many times that a drive must sustain.
        minute_cost_minor: What one minute lost costs.
        rehearsal_in_minutes: How long after the demo is built the rehearsal goes on air.
    """

    name: str
    zone: str
    log_began: date
    last_day: date
    seed: int
    picture: str
    sound: str
    record_bytes_per_second: int
    drive_factor: float
    minute_cost_minor: int
    rehearsal_in_minutes: int


@dataclass(frozen=True)
class Step:
    """One step of the start-up card, and the day the card was hung up."""

    position: int
    what: str
    since: date


@dataclass(frozen=True)
class Person:
    """Somebody of the crew, by initials, and the days they belonged to it."""

    initials: str
    role: Role
    does: str
    since: date | None
    until: date | None


@dataclass(frozen=True)
class Place:
    """A node of the tree of places; `parent` is the key of the one above."""

    key: str
    name: str
    kind: PlaceKind
    parent: str | None


@dataclass(frozen=True)
class Model:
    """A make-and-model; a lead has the same connector at both ends."""

    maker: str
    name: str
    equipment_class: str
    what: str
    length_mm: int | None
    connector: str | None
    capacity_bytes: int | None


@dataclass(frozen=True)
class ItemRow:
    """One thing, the place it first lay at, and how it left use."""

    name: str
    model: str
    batch: str | None
    in_service: date
    place: str
    price_minor: int
    retired_on: date | None
    retired_reason: str | None
    set_aside_on: date | None
    set_aside_reason: str | None


@dataclass(frozen=True)
class Item(ItemRow):
    """One thing with the serial number drawn for it."""

    serial: str


@dataclass(frozen=True)
class Move:
    """The place an item lies at from a day on."""

    item: str
    on: date
    place: str
    note: str | None


@dataclass(frozen=True)
class Link:
    """What joins two ports, on the days [since, until); without a cable a jumper."""

    cable: str | None
    from_item: str
    from_port: str
    to_item: str
    to_port: str
    since: date
    until: date | None
    note: str | None


@dataclass(frozen=True)
class SpeedRow:
    """A drive's sustained write speed in a month, as measured.

    Attributes:
        drive: The drive's name.
        month: Of the test, as 2025-05.
        day: Of the month; None is the first Monday.
        mb_per_s: Megabytes per second.
        spread: By how much at most a drive of the group differs, one way or the other.
    """

    drive: str
    month: str
    day: int | None
    mb_per_s: int
    spread: int | None


@dataclass(frozen=True)
class DriveSpeed:
    """A drive's sustained write speed on a day, the difference of its group drawn."""

    drive: str
    on: date
    bytes_per_second: int


@dataclass(frozen=True)
class Loan:
    """A thing that was away; one without an identifier has only `what`, and no days."""

    item: str | None
    what: str | None
    borrower: str | None
    out_on: date | None
    due_on: date | None
    back_on: date | None
    note: str | None


@dataclass(frozen=True)
class Spare:
    """How many of some models must lie ready; a consumable is counted by hand."""

    name: str
    models: tuple[str, ...]
    place: str
    minimum: int
    needed_bytes_per_second: int | None
    by_hand: bool


@dataclass(frozen=True)
class SpareCount:
    """How many lay ready on a day."""

    spare: str
    on: date
    count: int
