"""The whole story of the invented studio, typed, what the files leave open drawn from its seed."""

import csv
import io
from dataclasses import dataclass
from random import Random
from zoneinfo import ZoneInfo

from kb.demo import draws, files
from kb.demo.gear_rows import (
    DriveSpeed,
    House,
    Item,
    ItemRow,
    Link,
    Loan,
    Model,
    Move,
    Person,
    Place,
    Spare,
    SpareCount,
    SpeedRow,
    Step,
)
from kb.demo.use_rows import (
    Attempt,
    AttemptRow,
    Fault,
    FaultRow,
    Note,
    Search,
    SearchRow,
    Service,
    ServiceItem,
    ServiceRow,
    Show,
    ShowRow,
)


@dataclass(frozen=True)
class Story:
    """Everything there is to tell, each noun in the order of its file.

    Places come parents first, links and moves oldest first for each item; a drive's tests and a
    fault's attempts come oldest first.
    """

    house: House
    start_card: tuple[Step, ...]
    people: tuple[Person, ...]
    places: tuple[Place, ...]
    models: tuple[Model, ...]
    items: tuple[Item, ...]
    moves: tuple[Move, ...]
    links: tuple[Link, ...]
    shows: tuple[Show, ...]
    faults: tuple[Fault, ...]
    attempts: tuple[Attempt, ...]
    services: tuple[Service, ...]
    service_items: tuple[ServiceItem, ...]
    notes: tuple[Note, ...]
    loans: tuple[Loan, ...]
    spares: tuple[Spare, ...]
    spare_counts: tuple[SpareCount, ...]
    drive_speeds: tuple[DriveSpeed, ...]
    searches: tuple[Search, ...]


def load() -> Story:
    """Return the story; two calls return equal ones."""
    (house,) = files.read(House, "house")
    random, zone = Random(house.seed), ZoneInfo(house.zone)  # noqa: S311 - a story, no secret
    people, models = files.read(Person, "people"), files.read(Model, "models")
    items = draws.items(
        files.read(ItemRow, "items"), {model.name: model for model in models}, random
    )
    shows = draws.shows(files.read(ShowRow, "shows"), zone)
    by_day = {show.on: show for show in shows}
    faults = draws.faults(files.read(FaultRow, "faults"), by_day, zone, random)
    by_number = {fault.number: fault for fault in faults}
    return Story(
        house=house,
        start_card=files.read(Step, "start_card"),
        people=people,
        places=files.read(Place, "places"),
        models=models,
        items=tuple(items),
        moves=files.read(Move, "moves"),
        links=files.read(Link, "links"),
        shows=tuple(shows),
        faults=tuple(faults),
        attempts=tuple(draws.attempts(files.read(AttemptRow, "attempts"), by_number, zone)),
        services=tuple(draws.services(files.read(ServiceRow, "services"), zone)),
        service_items=files.read(ServiceItem, "service_items"),
        notes=files.read(Note, "notes"),
        loans=files.read(Loan, "loans"),
        spares=files.read(Spare, "spares"),
        spare_counts=files.read(SpareCount, "spare_counts"),
        drive_speeds=tuple(draws.speeds(files.read(SpeedRow, "drive_speeds"), random)),
        searches=tuple(draws.searches(files.read(SearchRow, "searches"), shows, people, random)),
    )


def drawn(story: Story) -> str:
    """Return the list of what was drawn, as CSV: what `data/drawn.csv` holds."""
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\n")
    lines.writerow(("kind", "of", "value"))
    lines.writerows(("serial", item.name, item.serial) for item in story.items)
    for fault in story.faults:
        lines.writerow(("noticed", fault.number, f"{fault.noticed_at:%Y-%m-%dT%H:%MZ}"))
        lines.writerow(("restored", fault.number, f"{fault.restored_at:%Y-%m-%dT%H:%MZ}"))
    for speed in story.drive_speeds:
        lines.writerow(("speed", f"{speed.drive} {speed.on}", speed.bytes_per_second))
    for search in story.searches:
        lines.writerow(("search", search.query, f"{search.at:%Y-%m-%dT%H:%MZ} {search.by}"))
    return text.getvalue()
