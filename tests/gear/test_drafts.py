"""What may be typed of gear, and that each field has its column."""

from typing import Any

import pytest
from sqlmodel import SQLModel

from kb import trade
from kb.checking import Draft, check
from kb.crew.people import PersonDraft
from kb.errors import InvalidError
from kb.gear import drafts
from kb.gear.drafts import ItemDraft, ModelDraft, MoveDraft, PlaceDraft, StateDraft
from kb.gear.drives import DriveTestDraft, DriveTestSlipDraft
from kb.gear.links import LinkDraft, LinkSlipDraft
from kb.gear.loans import LoanDraft, LoanSlipDraft
from kb.gear.service_drafts import ServiceDraft, ServiceItemDraft, ServiceSlipDraft
from kb.gear.shows import ShowDraft
from kb.gear.spare_drafts import SpareDraft
from kb.records.tables.crew import Person
from kb.records.tables.gear import Item, Model, Place, Placement, StateSpell
from kb.records.tables.use import DriveTest, Link, Loan, Service, ServiceItem, Show, Spare

# What a person names, and the column that holds its key or its minor units.
NAMED = {
    "model": "model_id",
    "place": "place_id",
    "within": "parent_id",
    "price": "price_minor",
    "cost": "cost_minor",
    "item": "item_id",
    "cable": "cable_id",
    "from_item": "from_item_id",
    "to_item": "to_item_id",
    "fault": "fault_id",
}
# Rows of a table of their own.
LISTED = {"items", "models"}


@pytest.mark.parametrize(
    ("draft", "table"),
    [
        (ModelDraft, Model),
        (PlaceDraft, Place),
        (ItemDraft, Item),
        (MoveDraft, Placement),
        (StateDraft, StateSpell),
        (LinkDraft, Link),
        (LinkSlipDraft, Link),
        (ShowDraft, Show),
        (ServiceDraft, Service),
        (ServiceSlipDraft, Service),
        (ServiceItemDraft, ServiceItem),
        (LoanDraft, Loan),
        (LoanSlipDraft, Loan),
        (SpareDraft, Spare),
        (DriveTestDraft, DriveTest),
        (DriveTestSlipDraft, DriveTest),
        (PersonDraft, Person),
    ],
)
def test_each_field_of_a_draft_has_its_column(draft: type[Draft], table: type[SQLModel]) -> None:
    fields = {NAMED.get(name, name) for name in draft.model_fields if name not in LISTED}
    assert fields <= set(table.model_fields)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("", {}),
        ("length=3 m", {"length": "3 m"}),
        ("length=3 m, plug=type A,", {"length": "3 m", "plug": "type A"}),
        ("rate = 18 Gb/s , note=a=b", {"rate": "18 Gb/s", "note": "a=b"}),
        ({"length": 3}, {"length": 3}),
    ],
)
def test_technical_data_are_read_as_pairs(typed: object, expected: dict[str, Any]) -> None:
    values = {"maker": "Ossprell", "name": "Ribbonet 3", "technical": typed}
    assert check(ModelDraft, values).technical == expected


@pytest.mark.parametrize("typed", ["3 m", "=3 m", "length=", "length=3 m, plug", "a\x00=1"])
def test_what_is_no_pair_is_refused(typed: str) -> None:
    with pytest.raises(InvalidError, match="technical: "):
        check(ModelDraft, {"maker": "Ossprell", "name": "Ribbonet 3", "technical": typed})


def test_a_class_is_one_of_the_trades() -> None:
    for name in trade.CLASSES:
        values = {"maker": "Ossprell", "name": "Ribbonet 3", "equipment_class": name}
        assert check(ModelDraft, values).equipment_class == name
    with pytest.raises(InvalidError, match="equipment class: 'toaster' is no class of equipment"):
        check(ModelDraft, {"maker": "A", "name": "B", "equipment_class": "toaster"})


@pytest.mark.parametrize("draft", [ItemDraft, PlaceDraft])
def test_a_name_that_reads_as_a_code_is_refused(draft: type[Draft]) -> None:
    check(draft, {"name": "HDMI-07"})  # its form, but a wrong check character
    for typed in ("K7M4XV", "k7m 4xv", "K7M-4XY"):
        with pytest.raises(InvalidError, match="could be read as the code K7M 4XV"):
            check(draft, {"name": typed})


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        # Decimal prefixes: the SI brochure, 9th edition, table 7.
        ("182 MB/s", 182_000_000),
        ("41.25MB/s", 41_250_000),
        ("1.2 GB/s", 1_200_000_000),
        ("900 kb/s", 900_000),
        ("41250000", 41_250_000),
        ("512 B/s", 512),
        (41_250_000, 41_250_000),
    ],
)
def test_a_rate_is_read_in_bytes_per_second(typed: object, expected: int) -> None:
    assert check(DriveTestDraft, {"write_rate": typed}).write_rate == expected


@pytest.mark.parametrize("typed", ["", "fast", "-3 MB/s", "0", "182 Mbit", "5000 GB/s", "1e9", 0])
def test_what_is_no_rate_is_refused(typed: object) -> None:
    with pytest.raises(InvalidError, match="write rate: "):
        check(DriveTestDraft, {"write_rate": typed})


def test_the_items_of_a_service_are_typed_in_one_line() -> None:
    typed = {"kind": "test", "work": "wire check", "items": "CC-01=pass, HD-01 = FAIL , K7M 4XV,"}
    found = check(ServiceDraft, typed).items
    assert [(one.item, one.result) for one in found] == [
        ("CC-01", "pass"),
        ("HD-01", "fail"),
        ("K7M 4XV", None),
    ]


@pytest.mark.parametrize(
    ("items", "sentence"),
    [
        ("", "items: none is named. Name one at least, like CC-01=pass, CC-02."),
        ([], "items: none is named."),
        ("=pass", "items: it is empty. Type something."),
        ("CC-01=good", "items: 'good' is none of 'pass', 'fail' or 'marginal'."),
        (5, "items: '5' does not fit"),
    ],
)
def test_items_of_a_service_that_do_not_fit_are_told(items: object, sentence: str) -> None:
    with pytest.raises(InvalidError) as caught:
        check(ServiceDraft, {"kind": "test", "work": "wire check", "items": items})
    assert sentence in caught.value.message


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("Ribbonet 3", ("Ribbonet 3",)),
        ("Ribbonet 3; Stout 2,Stout 3", ("Ribbonet 3", "Stout 2", "Stout 3")),
        (["Ribbonet 3", "Stout 2"], ("Ribbonet 3", "Stout 2")),
        ("", ()),
    ],
)
def test_the_models_of_a_rule_are_typed_in_one_line(
    typed: object, expected: tuple[str, ...]
) -> None:
    assert check(SpareDraft, {"name": "leads", "minimum": "4", "models": typed}).models == expected


def test_a_filter_takes_what_a_form_sends() -> None:
    empty = dict.fromkeys(drafts.ItemFilter.model_fields, "")
    assert check(drafts.ItemFilter, empty) == drafts.ItemFilter()
    with pytest.raises(InvalidError, match="state: 'broken' is none of 'fit', 'doubtful'"):
        check(drafts.ItemFilter, {"state": "broken"})
