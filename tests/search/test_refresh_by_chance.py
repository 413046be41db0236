"""Whatever is done, in whatever order, the indexes that kept up are as indexes made anew."""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from builders import a_model, a_place, an_item
from fault_builders import FAILED, NOW, WORKED, a_fault, a_try, an_entry_text
from indexed import CLOCK, contents, fresh
from sqlmodel import Session, select

from kb.entries import library
from kb.errors import KitloreError
from kb.faults import attempts, closing, log
from kb.gear import items, models, places
from kb.records.kinds import CauseKind, EntryStatus, ItemState
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item
from kb.search import refresh, sources

Act = Callable[[Session, Random], object]
ITEMS = [f"CC-{number:02d}" for number in range(1, 7)]
PLACES = ["RR", "R1", "R2", "ST", "WS"]
SLUGS = ["one", "two", "three"]
WORDS = ["zebra", "antelope", "gnu", "ibex", "okapi", "tapir"]


def an_hour(chance: Random) -> timedelta:
    return timedelta(hours=chance.randrange(24 * 20))


def any_item(session: Session, chance: Random) -> str:
    return chance.choice(sorted(session.scalars(select(Item.code))))


def a_number(session: Session, chance: Random, table: type[Fault | Attempt]) -> int:
    return chance.choice([row.key for row in session.scalars(select(table))] or [1])


def log_one(session: Session, chance: Random) -> None:
    values: dict[str, Any] = {
        "entry": chance.choice([*SLUGS, None]),
        "text": chance.choice(WORDS),
    }
    a_fault(session, any_item(session, chance), noticed_at=NOW - an_hour(chance), **values)


def correct_one(session: Session, chance: Random) -> None:
    change: dict[str, object] = chance.choice(
        [
            {"item": any_item(session, chance)},
            {"entry": chance.choice([*SLUGS, ""])},
            {"noticed_at": NOW - an_hour(chance)},
            {"place": chance.choice(PLACES)},
            {"text": chance.choice(WORDS)},
        ]
    )
    log.correct_fault(session, a_number(session, chance, Fault), change, NOW)


def close_one(session: Session, chance: Random) -> None:
    cause = {"kind": chance.choice(list(CauseKind)), "note": chance.choice(WORDS)}
    closing.close_fault(session, a_number(session, chance, Fault), cause, NOW)


def try_one(session: Session, chance: Random) -> None:
    values = {"entry": chance.choice(SLUGS), "outcome": chance.choice([WORKED, FAILED])}
    fix = chance.choice(["replug", "restart", "swap"])
    at = NOW - an_hour(chance)
    a_try(session, a_number(session, chance, Fault), fix, at=at, **values)


def retell_one(session: Session, chance: Random) -> None:
    number = a_number(session, chance, Attempt)
    if chance.random() < 0.5:
        attempts.strike_attempt(session, number, "wrong fault", NOW)
    else:
        attempts.correct_attempt(session, number, chance.choice([WORKED, FAILED]))


def change_item(session: Session, chance: Random) -> None:
    change: dict[str, object] = chance.choice(
        [
            {"name": f"{chance.choice(WORDS)} {chance.randrange(9)}"},
            {"serial": f"SN{chance.randrange(10**6)}"},
            {"model": chance.choice(["Parlour 2", "Antechamber"])},
            {"place": chance.choice([*PLACES, ""])},
            {"note": chance.choice(WORDS)},
        ]
    )
    items.change_item(session, any_item(session, chance), change, NOW)


def change_place(session: Session, chance: Random) -> None:
    one, other = chance.sample(PLACES, 2)
    act = chance.choice(["within", "top", "renamed", "merged"])
    if act == "within":
        places.change_place(session, one, {"within": other})
    elif act == "top":
        places.change_place(session, one, {"kind": "shelf", "within": ""})
    elif act == "renamed":
        places.change_place(session, one, {"name": "elsewhere"})
        places.add_place(session, {"name": one}, NOW, chance)
    else:
        places.merge_place(session, one, other)


def save_entry(session: Session, chance: Random) -> None:
    slug, word = chance.choice(SLUGS), chance.choice(WORDS)
    library.save_entry(session, an_entry_text(slug, title=word.title()), NOW)


ACTS: list[Act] = [
    log_one,
    log_one,
    correct_one,
    close_one,
    try_one,
    try_one,
    retell_one,
    change_item,
    change_place,
    change_place,
    change_place,
    save_entry,
    lambda session, chance: closing.reopen_fault(session, a_number(session, chance, Fault), NOW),
    lambda session, chance: log.merge_fault(
        session, a_number(session, chance, Fault), a_number(session, chance, Fault)
    ),
    lambda session, chance: items.set_state(
        session, any_item(session, chance), chance.choice(list(ItemState)), NOW, "as it is"
    ),
    lambda session, chance: items.merge_item(
        session, any_item(session, chance), any_item(session, chance), NOW
    ),
    lambda session, chance: an_item(session, f"new {chance.randrange(99)}"),
    lambda session, chance: models.change_model(
        session, chance.choice(["Parlour 2", "Antechamber"]), {"maker": chance.choice(WORDS)}
    ),
    lambda session, chance: library.set_status(
        session, chance.choice(SLUGS), chance.choice(list(EntryStatus))
    ),
]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_indexes_that_kept_up_are_as_made_anew(
    session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    monkeypatch.setattr(sources, "NEWEST_FAULTS", 5)
    chance = Random(seed)  # noqa: S311 - chance that repeats
    for name in PLACES:
        a_place(session, name, within="RR" if name in ("R1", "R2") else None)
    a_model(session, maker="Grundel", name="Antechamber", equipment_class="call-computer")
    for name in ITEMS:
        an_item(session, name, place=chance.choice(PLACES))
    for slug in SLUGS:
        library.save_entry(session, an_entry_text(slug), NOW)
    done = 0
    for _ in range(25):
        for act in chance.choices(ACTS, k=3):
            # What is refused is taken back whole, as a face does.
            with suppress(KitloreError), session.begin_nested():
                act(session, chance)
                done += 1
        assert refresh.catch_up(session, folder, CLOCK)
        assert contents(folder) == fresh(session, folder)
    assert done > 30
