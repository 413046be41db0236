"""With an item at hand, entries that speak of its class are lifted."""

from typing import Any

import pytest
from builders import a_model, an_item
from fault_builders import NOW, a_fault, an_entry_text
from sqlmodel import Session

from kb.entries import library
from kb.errors import NotFoundError
from kb.gear import links, models
from kb.records.kinds import EntryStatus
from kb.search import context


@pytest.fixture
def entries(session: Session) -> Session:
    """Keep entries of one class, of two, of none; one speaks of a class in passing."""
    told: dict[str, dict[str, Any]] = {
        "one": {"classes": ("call-computer",)},
        "two": {"classes": ("display", "call-computer")},
        "none": {"classes": ()},
        "in-passing": {"classes": ("display",), "symptoms": ("the call-computer is dark",)},
        "withdrawn": {"classes": ("call-computer",)},
    }
    for slug, over in told.items():
        library.save_entry(session, an_entry_text(slug, **over), NOW)
    library.set_status(session, "withdrawn", EntryStatus.WITHDRAWN)
    return session


def test_entries_of_the_item_s_class_are_lifted(entries: Session) -> None:
    code = an_item(entries)
    for typed in ("CC-01", code):
        assert context.boosts(entries, typed) == {
            "one": context.CLASS_FACTOR,
            "two": context.CLASS_FACTOR,
        }
    assert context.CLASS_FACTOR > 1


def test_the_class_of_a_merged_model_counts(entries: Session) -> None:
    an_item(entries)
    a_model(entries, maker="Grundel", name="Antechamber", equipment_class=None)
    models.merge_model(entries, "Parlour 2", "Antechamber", NOW)
    assert set(context.boosts(entries, "CC-01")) == {"one", "two"}


def test_an_item_of_no_class_lifts_nothing(entries: Session) -> None:
    an_item(entries, "thing", model=None)
    an_item(entries, "other", model=a_model(entries, name="Blank", equipment_class=None))
    assert context.boosts(entries, "thing") == context.boosts(entries, "other") == {}


def test_what_it_is_joined_to_lifts_less(entries: Session) -> None:
    an_item(entries, "CC-01")
    an_item(entries, "D-01", model=a_model(entries, name="Pane", equipment_class="display"))
    ends = {"from_item": "CC-01", "from_port": "out", "to_item": "D-01", "to_port": "in"}
    links.connect(entries, ends, NOW)

    assert context.boosts(entries, "CC-01") == {
        "one": context.CLASS_FACTOR,
        "two": context.CLASS_FACTOR,
        "in-passing": context.NEIGHBOUR_FACTOR,
    }
    assert 1 < context.NEIGHBOUR_FACTOR < context.CLASS_FACTOR


def test_what_units_of_the_model_had_before_is_lifted(entries: Session) -> None:
    an_item(entries, "CC-01")
    an_item(entries, "CC-02")
    a_fault(entries, "CC-02", entry="none")

    assert context.boosts(entries, "CC-01")["none"] == context.MODEL_FACTOR


def test_an_item_that_is_none_is_told(entries: Session) -> None:
    with pytest.raises(NotFoundError, match="No item 'CC-99'"):
        context.boosts(entries, "CC-99")
