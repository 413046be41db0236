"""What is searched in an entry, an item or a fault, and what a list shows without the base."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from kb.entries import parse
from kb.entries.outcomes import Evidence
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model
from kb.search import shapes
from kb.search.documents import WEIGHTS, Document

AT = datetime(2026, 3, 19, 12, tzinfo=UTC)
TEXT = (Path(__file__).parents[1] / "entries" / "sample.md").read_text(encoding="utf-8")


def stored(document: Document) -> Any:  # noqa: ANN401 - as JSON keeps it
    return document.stored


@pytest.fixture
def entry() -> Document:
    return shapes.of_entry(TEXT, {"push": Evidence(3, 2, (AT,), AT)})


def test_an_entry_is_found_by_all_that_is_read_in_it(entry: Document) -> None:
    told = parse.entry_from(TEXT)
    assert (entry.kind, entry.key, entry.title) == ("entry", "lamp-dark", told.title)
    assert entry.parts["symptoms"].splitlines() == list(told.symptoms)
    assert entry.parts["causes"].splitlines() == ["plug loose", "fuse blown"]
    assert entry.parts["fixes"].splitlines()[-1] == "Swap it"
    for words in ("Let go of it.", "the lamp at once.", "Put the spare", "Tag the unit."):
        assert words in entry.parts["steps"]
    assert entry.exact == ("lamp-dark", told.title)


def test_an_entry_brings_its_fixes_with_times_steps_and_evidence(entry: Document) -> None:
    push, other, wait = stored(entry)["fixes"]
    assert push["evidence"] == {
        "tried": 3,
        "worked": 2,
        "pending": [AT.isoformat()],
        "last_on": AT.isoformat(),
    }
    assert other["evidence"]["last_on"] is None
    assert (other["takes_s"], other["at_worst_s"]) == (60, 180)
    assert (other["disruption"], len(other["cautions"])) == ("this source", 2)
    assert other["stop"] == "the second outlet does nothing either."
    # One and a half times the usual where nothing is told.
    assert (wait["takes_s"], wait["at_worst_s"]) == (90, 135)
    assert stored(entry)["swap"]["steps"] == ["Put the spare in its place."]
    assert stored(entry)["first_acts"]["cautions"] == ["a smell of burning means hands off."]
    assert stored(entry)["area"] == "Power, batteries and heat"


def test_an_item_is_found_by_every_code_its_name_and_serial_number() -> None:
    item = Item(code="K7M4XV", name="HD-01", serial="OS2025", state="fit", note="blue\nsleeve")
    model = Model(maker="Ossprell", name="Ribbonet 3", equipment_class="cable")
    found = shapes.of_item(item, model, "House/rack R1", ["K7M4XV", "Q2R9TW"])
    assert (found.kind, found.key, found.title) == (
        "item",
        "K7M4XV",
        "HD-01 (Ossprell Ribbonet 3)",
    )
    assert found.exact == ("K7M4XV", "Q2R9TW", "HD-01", "OS2025")
    assert (found.parts["place"], found.parts["class"]) == ("House rack R1", "cable")
    assert stored(found)["place"] == "House/rack R1"


def test_an_item_of_which_nothing_is_known_has_its_name() -> None:
    found = shapes.of_item(Item(code="K7M4XV", name="thing"), None, "", ["K7M4XV"])
    assert (found.title, found.exact) == ("thing", ("K7M4XV", "thing", ""))
    assert {name for name, text in found.parts.items() if text} == {"item"}


@pytest.mark.parametrize(
    ("text", "title"),
    [
        ("five is green", "five is green"),
        ("five\n is  green", "five is green"),
        ("x" * 80, "x" * 80),
        ("x" * 81, "x" * 79 + "…"),
    ],
)
def test_a_fault_is_listed_by_its_words_on_one_short_line(text: str, title: str) -> None:
    fault = Fault(id=7, text=text, noticed_at=AT, reporter="T.R.", cause_note="worn")
    found = shapes.of_fault(fault, "CC-05", "K7M4XV", "lamp-dark", "House/desk")
    assert (found.kind, found.key, found.title) == ("fault", "7", title)
    assert found.parts["text"] == text
    assert (found.parts["note"], found.parts["item"]) == ("worn", "CC-05")
    assert stored(found)["restored"] is False
    assert stored(found)["noticed_at"] == AT.isoformat()


def test_every_part_has_a_weight(entry: Document) -> None:
    item = shapes.of_item(Item(code="K7M4XV", name="a"), None, "", [])
    fault = shapes.of_fault(Fault(id=1, text="a", noticed_at=AT, reporter="b"), "", "", "", "")
    for one in (entry, item, fault):
        assert one.parts.keys() <= WEIGHTS.keys()
