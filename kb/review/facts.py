"""What a review goes by, fetched once: units with their exposure, faults, services, shows."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from kb.records.kinds import FAILURE_KINDS
from kb.review.methods.exposure import Days, UnitExposure

Moves = tuple[tuple[datetime, int | None], ...]
# Things that are replaced and not repaired; common practice, no source.
REPLACED = frozenset({"battery", "cable", "connector-adapter", "drive"})


@dataclass(frozen=True)
class Frame:
    """What all figures of one review share.

    Attributes:
        window: The days looked at.
        began: The day from which every fault was written down.
        now: The time now.
        today: The day now, in the workspace's zone.
        confidence: Of each two-sided interval.
        currency: Three letters.
        minute_cost: What a lost minute costs where no room says it, in minor units.
        hold_days: For how long a fix must hold.
        repeat_days: Within how many days the same is a repeat.
        version: Which state of the records was read.
        rooms: What a lost minute costs at places whose room has a rate of its own, by key.
    """

    window: Days
    began: date
    now: datetime
    today: date
    confidence: float
    currency: str
    minute_cost: int
    hold_days: int
    repeat_days: int
    version: str
    rooms: Mapping[int, int] = field(default_factory=dict)

    def a_minute(self, place: int | None) -> int:
        """Return what a minute lost at a place costs, in minor units.

        Args:
            place: Key of the place; None where nobody said.
        """
        return self.minute_cost if place is None else self.rooms.get(place, self.minute_cost)


@dataclass(frozen=True)
class UnitFacts:
    """One unit, exposed or not.

    Attributes:
        key: Its key.
        code: On its label.
        name: What the crew calls it.
        model: Maker and name; empty where none is known.
        equipment_class: Of the model; empty where none is known.
        plugs: Of the model's technical data; empty where none is said.
        batch: Bought together; empty where not said.
        state: As it stands now.
        in_service: Since when.
        exposure: When it was exposed, and the failures that count.
        price: In minor units.
        warranty_until: Up to, not including, this day.
    """

    key: int
    code: str
    name: str
    model: str
    equipment_class: str
    plugs: str
    batch: str
    state: str
    in_service: date
    exposure: UnitExposure
    price: int | None
    warranty_until: date | None

    @property
    def days(self) -> int:
        """How many days it was exposed."""
        return self.exposure.unit_days

    @property
    def failures(self) -> int:
        """How many failures of it count."""
        return len(self.exposure.failures)

    @property
    def ages(self) -> tuple[int, int]:
        """Days in service when its watch began and when it ended; both 0 if never exposed."""
        spans = self.exposure.intervals
        if not spans:
            return 0, 0
        return (spans[0].since - self.in_service).days, (spans[-1].until - self.in_service).days

    @property
    def sort(self) -> str:
        """What it can stand in for: its class, and its plugs where they are said."""
        return f"{self.equipment_class} {self.plugs}".strip()

    def age(self, day: date) -> int:
        """Return how many days it had been in service at the end of a day."""
        return (day - self.in_service).days + 1


@dataclass(frozen=True)
class FaultFacts:
    """One fault, seen on a unit or caused by one.

    Attributes:
        number: Its number.
        day: Noticed on it, in the workspace's zone.
        noticed_at: When.
        restored_at: When it worked again; None while it doesn't.
        seen: Key of the item it was seen on.
        seen_name: Its name; of the place where no item is known.
        seen_class: The item's class.
        place: Where it was seen: the place named, else where the item lay then; by key.
        place_name: Its name.
        cause: Key of the item to blame.
        cause_name: Its name.
        cause_class: Its class.
        kind: Cause kind; None while nobody said.
        minutes: Lost; None where not said.
        effect: On the show.
        symptom: Title of the entry; empty where none was named.
    """

    number: int
    day: date
    noticed_at: datetime
    restored_at: datetime | None
    seen: int | None
    seen_name: str
    seen_class: str
    place: int | None
    place_name: str
    cause: int | None
    cause_name: str
    cause_class: str
    kind: str | None
    minutes: int | None
    effect: str
    symptom: str

    @property
    def about(self) -> int | None:
        """The item it is about: the one to blame, else the one it was seen on."""
        return self.cause if self.cause is not None else self.seen

    @property
    def is_failure(self) -> bool:
        """Whether its cause kind makes it one."""
        return self.cause is not None and self.kind in FAILURE_KINDS


@dataclass(frozen=True)
class ServiceFacts:
    """One service of the units.

    Attributes:
        number: Its number.
        day: When, in the workspace's zone.
        kind: Inspection, repair, ...
        work: What was done.
        items: Keys of the units it is about: those it covered, and that of the fault it mends.
        covered: How many items it covered in all.
        cost: In minor units; None where not said.
        fault: Number of the fault that it was for; None where there is none.
        symptom: Title of that fault's entry; empty where there is none.
        results: Of the units covered: pass, fail, marginal; empty ones left out.
    """

    number: int
    day: date
    kind: str
    work: str
    items: frozenset[int]
    covered: int
    cost: int | None
    fault: int | None
    symptom: str
    results: tuple[str, ...]


@dataclass(frozen=True)
class SpeedFacts:
    """One test of a drive: bytes written a second."""

    item: int
    day: date
    write_rate: int


@dataclass(frozen=True)
class Facts:
    """All that a review of some units goes by.

    Attributes:
        frame: What its figures share.
        units: Exposed in the window, by name.
        left_out: Names and reasons of units no exposure can be stated for.
        faults: In the window, merged ones counted once, about or on the units; oldest first.
        services: Of the units, oldest first, also from before the window.
        shows: When each show held in the window began, and its day; called off ones left out.
        speeds: Tests of drives, oldest first.
        moves: Item -> from when it lay at which place, oldest first, in the workspace's time.
        places: Place -> its name.
        needed_speed: What a drive must sustain, bytes a second; None where no rule says.
    """

    frame: Frame
    units: tuple[UnitFacts, ...]
    left_out: tuple[tuple[str, str], ...]
    faults: tuple[FaultFacts, ...]
    services: tuple[ServiceFacts, ...]
    shows: tuple[tuple[datetime, date], ...]
    speeds: tuple[SpeedFacts, ...]
    needed_speed: int | None
    moves: Mapping[int, Moves]
    places: Mapping[int, str] = field(default_factory=dict)

    def lay_at(self, item: int | None, at: datetime) -> int | None:
        """Return the key of the place that an item lay at; None where nobody said."""
        known = self.moves.get(item, ()) if item is not None else ()
        return next((place for since, place in reversed(known) if since <= at), None)

    @property
    def unit_days(self) -> int:
        """The sum of the units' exposed days."""
        return sum(unit.days for unit in self.units)

    @property
    def failures(self) -> int:
        """How many failures count."""
        return sum(unit.failures for unit in self.units)

    @property
    def repaired(self) -> bool:
        """Whether the units are repaired: none of them is of a class that is replaced."""
        return not any(unit.equipment_class in REPLACED for unit in self.units)

    def only(self, units: "tuple[UnitFacts, ...]") -> "Facts":
        """Return the facts about some of the units."""
        keys = {unit.key for unit in units}
        return Facts(
            frame=self.frame,
            units=units,
            left_out=(),
            faults=tuple(one for one in self.faults if {one.seen, one.cause} & keys),
            services=tuple(one for one in self.services if one.items & keys),
            shows=self.shows,
            speeds=tuple(one for one in self.speeds if one.item in keys),
            needed_speed=self.needed_speed,
            moves=self.moves,
            places=self.places,
        )

    def by(self, key: Callable[[UnitFacts], str]) -> "dict[str, Facts]":
        """Return the facts apart by a property of the units, in its order.

        Args:
            key: What to part them by: model, batch, sort.
        """
        grouped: dict[str, list[UnitFacts]] = {}
        for unit in self.units:
            grouped.setdefault(key(unit), []).append(unit)
        return {name: self.only(tuple(grouped[name])) for name in sorted(grouped)}
