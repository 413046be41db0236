"""Wherever names are listed their numbers count: tray 2 before tray 10."""

import csv
import io
from datetime import UTC, datetime

import pytest
from builders import BEGAN, a_cable, a_model, a_place, an_item
from sqlmodel import Session

from kb.exchange import tables
from kb.gear import items, links, pages, paths, places, spares, upkeep, views
from kb.labels import choose

AT = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
HEARD = (10, 1, 2)


@pytest.fixture(autouse=True)
def _gear(session: Session) -> None:
    """Make one, two and ten of each, in another order."""
    for n in HEARD:
        a_place(session, f"tray {n}", kind="drawer")
        an_item(session, f"CC-{n}", place=f"tray {n}")
        a_cable(session, f"HD-{n}")
        a_model(session, maker="Velm", name=f"Arc {n}")
    for n in HEARD:
        ends = {"from_item": f"CC-{n}", "from_port": "out", "to_item": "CC-1"}
        if n != 1:
            values = {"cable": f"HD-{n}", "to_port": f"in {n}", **ends}
            links.connect(session, values, BEGAN)
        rule = {"name": f"leads {n}", "models": ["Arc 10", "Arc 2", "Arc 1"], "minimum": 1}
        spares.set_spare(session, rule)
    done = {"kind": "inspection", "work": "dusted", "next_due": "2026-03-01"}
    done["items"] = "CC-10, CC-1, CC-2"
    upkeep.add_service(session, done, BEGAN)


def exported(session: Session, kind: str) -> list[str]:
    return [row["name"] for row in csv.DictReader(io.StringIO(tables.give_out(session, kind)))]


def numbers(names: list[str], before: str) -> list[int]:
    return [int(name.removeprefix(before)) for name in names if name.startswith(before)]


def test_every_list_counts(session: Session) -> None:
    lists = {
        "CC-": [
            [line.name for line in views.item_lines(session, {})],
            [line.name for line in upkeep.due(session, AT.date())],
            [line.name for line in upkeep.service_by(session, 1)],
            [label.name for label in choose.all_items(session)],
            exported(session, "items"),
        ],
        "tray ": [
            [line.path for line in views.place_lines(session)],
            [label.name for label in choose.all_places(session)],
            exported(session, "places"),
        ],
        "Arc ": [
            [line.name for line in views.model_lines(session)],
            exported(session, "models"),
        ],
        "leads ": [[line.name for line in spares.spares(session, AT)]],
    }
    for before, found in lists.items():
        for names in found:
            assert numbers(names, before) == [1, 2, 10], names
    assert [line.from_item for line in paths.link_lines(session, AT)] == ["CC-2", "CC-10"]


def test_a_new_name_takes_its_own_turn(session: Session) -> None:
    items.change_item(session, "CC-1", {"name": "CC-3"}, AT)
    places.change_place(session, "tray 1", {"name": "tray 3"})
    found = [line.name for line in views.item_lines(session, {})]
    assert numbers(found, "CC-") == [2, 3, 10]
    assert [line.name for line in views.place_lines(session)] == ["tray 2", "tray 3", "tray 10"]


def test_spares_as_near_stand_in_their_order(session: Session) -> None:
    for n in (20, 9):
        an_item(session, f"CC-{n}")
    found = [line.name for line in pages.item_page(session, "CC-1").spares]
    assert numbers(found, "CC-") == [9, 20]
