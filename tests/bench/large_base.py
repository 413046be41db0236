"""A large made-up base, written in bulk: many sites, and models that few or very many share."""

import random
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from itertools import accumulate
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, select
from sqlmodel import SQLModel, col

from kb import trade
from kb.gear import codes
from kb.records import session, sorting, workspace
from kb.records.kinds import ItemState, PlaceKind
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Code, Item, Model, Place, Placement, StateSpell
from kb.records.tables.use import Link, Loan, Service, ServiceItem

Row = Mapping[str, Any]
BEGAN = datetime(2023, 1, 9, 8, tzinfo=UTC)
MODELS = 600
HUB_PORTS = 20
_CABLES = 0.55  # share of the items; common practice, no source
_STATES = (ItemState.FIT,) * 17 + (ItemState.DOUBTFUL, ItemState.SET_ASIDE, ItemState.RETIRED)
_WORDS = "no picture sound green dots hot fan late frozen blue loose pin hum stuck dark".split()  # noqa: SIM905 - read as words


def build(folder: Path, items: int, faults: int) -> list[str]:
    """Make a workspace with so many items and faults, and return the items' codes in order.

    Args:
        folder: Where; it's made.
        items: How many; the first of each twenty or so is a switcher that twenty things feed.
        faults: How many, over three years; four in five were tried and closed.
    """
    command = [sys.executable, "-m", "kb", "init", str(folder), "--zone", "Europe/Berlin"]
    subprocess.run(command, check=True, capture_output=True)
    rng = random.Random(items)  # noqa: S311 - made-up gear
    engine = session.engine_for(workspace.opened(folder).url)
    with engine.begin() as base:
        entries = [key for key in base.scalars(select(col(Entry.id))) if key is not None]
        kinds = _gear(base, rng, items)
        _links(base, rng, kinds)
        _upkeep(base, rng, items)
        _faults(base, rng, items, faults, entries)
        found = list(base.scalars(select(col(Item.code)).order_by(col(Item.id))))
    engine.dispose()
    return found


def _put(base: Connection, table: type[SQLModel], rows: Iterator[Row] | Sequence[Row]) -> None:
    base.execute(insert(table), list(rows))


def _gear(base: Connection, rng: random.Random, count: int) -> list[str]:
    """Write models, places and items; return each item's class, in order."""
    others = [kind for kind in trade.CLASSES if kind != "cable"]
    classes = ["cable" if n % 3 == 0 else others[n % len(others)] for n in range(MODELS)]
    _put(
        base,
        Model,
        [
            {"maker": f"Maker {n % 40}", "name": f"Type {n}", "equipment_class": kind}
            | {"technical": {"width": "1 unit"}}
            for n, kind in enumerate(classes)
        ],
    )
    places = _places(base, count)
    # By Zipf's law: of the most frequent model there are thousands.
    weights = list(accumulate(1 / rank for rank in range(1, MODELS + 1)))
    drawn = rng.choices(range(MODELS), cum_weights=weights, k=count)
    labels = _codes(rng, count)
    rows = [
        {
            "code": label,
            "name": f"IT-{n:06}",
            "name_folded": f"it-{n:06}",
            "name_order": sorting.by_number(f"it-{n:06}"),
            "model_id": model + 1,
            "state": rng.choice(_STATES),
            "place_id": rng.choice(places),
            "in_service": BEGAN.date(),
            "serial": f"S{n:07}",
        }
        for n, (label, model) in enumerate(zip(labels, drawn, strict=True))
    ]
    _put(base, Item, rows)
    _put(
        base, Code, [{"code": c, "item_id": n, "drawn_at": BEGAN} for n, c in enumerate(labels, 1)]
    )
    since = {"since": BEGAN}
    _put(
        base, Placement, [{"item_id": n, "place_id": r["place_id"]} | since for n, r in _key(rows)]
    )
    _put(base, StateSpell, [{"item_id": n, "state": r["state"]} | since for n, r in _key(rows)])
    return [classes[model] for model in drawn]


def _key(rows: Sequence[Row]) -> Iterator[tuple[int, Row]]:
    return enumerate(rows, 1)


def _places(base: Connection, items: int) -> list[int]:
    """Write sites of rooms of racks; return the keys of the racks."""
    sites = max(1, items // 5_000)
    rows: list[Row] = [
        {"name": f"Site {n}", "kind": PlaceKind.SITE, "parent_id": None} for n in range(sites)
    ]
    for site in range(1, sites + 1):
        rows += [
            {"name": f"Room {n}", "kind": PlaceKind.ROOM, "parent_id": site} for n in range(10)
        ]
    rooms = range(sites + 1, len(rows) + 1)
    rows += [
        {"name": f"Rack {n}", "kind": PlaceKind.RACK, "parent_id": room}
        for room in rooms
        for n in range(20)
    ]
    _put(base, Place, rows)
    return list(range(rooms.stop, len(rows) + 1))


def _codes(rng: random.Random, count: int) -> list[str]:
    found: dict[str, None] = {}
    while len(found) < count:
        found[codes.make(rng)] = None
    return list(found)


def _links(base: Connection, rng: random.Random, kinds: Sequence[str]) -> None:
    """Join devices in trees: each hub is fed by twenty others and feeds the next hub."""
    cables = [n for n, kind in enumerate(kinds, 1) if kind == "cable"]
    devices = [n for n, kind in enumerate(kinds, 1) if kind != "cable"]
    hubs, fed = devices[:: HUB_PORTS + 1], []
    for number, hub in enumerate(hubs):
        start = number * (HUB_PORTS + 1) + 1
        fed += [
            (source, f"out {port}", hub, f"in {port}")
            for port, source in enumerate(devices[start : start + HUB_PORTS])
        ]
        fed += [(hub, "out 1", hubs[number + 1], "in loop")] if number + 1 < len(hubs) else []
    rng.shuffle(cables)
    rows = []
    for n, (source, out, hub, into) in enumerate(fed):
        ends = {"from_item_id": source, "from_port": out, "to_item_id": hub, "to_port": into}
        rows.append(ends | {"cable_id": cables[n] if n < len(cables) else None, "since": BEGAN})
    _put(base, Link, rows)


def _upkeep(base: Connection, rng: random.Random, items: int) -> None:
    services = items // 5
    at = [BEGAN + timedelta(hours=rng.randrange(26_000)) for _ in range(services)]
    _put(base, Service, [{"kind": "inspection", "at": one, "work": "looked at"} for one in at])
    _put(
        base,
        ServiceItem,
        [
            {"service_id": n, "item_id": rng.randrange(1, items + 1), "result": "pass"}
            for n in range(1, services + 1)
        ],
    )
    lent = rng.sample(range(1, items + 1), items // 100)
    _put(base, Loan, [{"item_id": n, "borrower": "a theatre", "out_at": BEGAN} for n in lent])


def _faults(
    base: Connection, rng: random.Random, items: int, count: int, entries: Sequence[int]
) -> None:
    """Write faults, a few items having many, and attempts on most of them."""
    rows, tries = [], []
    for number in range(1, count + 1):
        # A bad one in a hundred items has a tenth of the faults.
        item = rng.randrange(1, items // 100 if number % 10 == 0 else items + 1)
        noticed = BEGAN + timedelta(minutes=number * 1_500_000 // count)
        well = noticed + timedelta(minutes=20) if number % 5 else None
        entry = rng.choice(entries)
        rows.append(
            {
                "text": " ".join(rng.choices(_WORDS, k=6)),
                "noticed_at": noticed,
                "reporter": "M.O.",
                "seen_item_id": item,
                "seen_place_id": None,
                "entry_id": entry,
                "restored_at": well,
                "closed_at": well,
                "cause_item_id": item if well else None,
                "cause_kind": "own failure" if well else None,
            }
        )
        if well:
            tries.append({"fault_id": number, "entry_id": entry, "fix_key": "replug", "at": well})
    _put(base, Fault, rows)
    _put(base, Attempt, [one | {"outcome": "worked", "by": "M.O."} for one in tries])
