"""Items, models and places go out to a table and come in again, all of it or nothing."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from builders import an_item
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import col, select

from kb.checking import check, clean_line
from kb.errors import InvalidError, NotFoundError, StorageError
from kb.exchange import tables
from kb.gear import items, models
from kb.gear.drafts import ItemDraft, ModelDraft
from kb.records import session as units
from kb.records.tables.gear import Item, Model
from kb.records.tables.journal import History
from kb.records.unit import RecordSession, Writer

# Text as a draft leaves it: in one line, nothing before or after it.
CLEAN = st.text("aB=,;:{}'\"= äß-", min_size=1, max_size=6).filter(lambda x: clean_line(x) == x)
KINDS = ("places", "models", "items")
PLACES = ("name,kind,within", "House,site,", "rack/1,rack,House", "slot,position,House/rack/1")


@pytest.fixture
def filled(session: RecordSession, at: datetime) -> RecordSession:
    """A base with a bit of everything that is hard to write into a table."""
    tables.take_in(session, "places", "\n".join(PLACES), at)
    models.add_model(
        session, {"maker": "Ossprell", "name": "Ribbonet 3", "technical": "length=3 m"}
    )
    technical = {"length_mm": 3000, "plug": "A, B", "bare": True}
    models.add_model(session, {"maker": "Yelkarn", "name": "=Stout", "technical": technical})
    values = {
        "name": "-HD; 04",
        "model": "Yelkarn =Stout",
        "place": "slot",
        "batch": "'=B",
        "serial": "@4417",
        "in_service": "2026-01-02",
        "bought": "2025-12-01",
        "price": "1040.50",
        "supplier": 'the "dealer"',
        "warranty_until": "2028-01-01",
        "note": "zwei\nZeilen, ein Bär",
    }
    items.add_item(session, values, at)
    items.add_item(session, {"name": "bare"}, at)
    return session


@pytest.fixture
def other(base_file: Path, writer: Writer) -> Iterator[RecordSession]:
    """A unit of work on another base, an empty one."""
    engine = units.engine_for(f"sqlite:///{base_file}")
    with units.begin(engine, writer) as unit:
        yield unit
    engine.dispose()


def wrong(session: RecordSession, kind: str, text: str, at: datetime) -> list[str]:
    """Return all that is wrong with a table."""
    with pytest.raises(InvalidError) as caught:
        tables.take_in(session, kind, text, at)
    return [str(problem) for problem in caught.value.problems]


def test_out_of_one_base_and_into_another_is_the_same(
    filled: RecordSession, other: RecordSession, at: datetime
) -> None:
    written = {kind: tables.give_out(filled, kind) for kind in KINDS}

    counts = {kind: tables.take_in(other, kind, text, at) for kind, text in written.items()}

    assert counts == {"places": 3, "models": 2, "items": 2}
    assert {kind: tables.give_out(other, kind) for kind in KINDS} == written
    technical = [one.technical for one in other.scalars(select(Model).order_by(Model.maker))]
    assert technical == [{"length": "3 m"}, {"length_mm": 3000, "plug": "A, B", "bare": True}]
    kept = other.scalars(select(Item).order_by(Item.name)).first()
    assert kept is not None
    assert (kept.name, kept.price_minor, kept.note) == (
        "-HD; 04",
        104_050,
        "zwei\nZeilen, ein Bär",
    )


@settings(max_examples=50)
@given(st.integers(0, 10**11 - 1))
def test_any_price_reads_back_the_same(minor: int) -> None:
    draft = check(ItemDraft, {"name": "unit", "price": tables._price(minor)})

    assert draft.price == minor


@settings(max_examples=60)
@given(st.dictionaries(CLEAN, CLEAN | st.integers() | st.booleans() | st.none(), max_size=3))
def test_any_technical_data_reads_back_the_same(technical: dict[str, Any]) -> None:
    cells = {"maker": "X", "name": "Y", "technical": tables._technical(technical)}

    assert check(ModelDraft, tables._typed(cells)).technical == technical


def test_what_is_retired_or_merged_stays_at_home(session: RecordSession, at: datetime) -> None:
    for name in ("AA", "BB", "CC"):
        an_item(session, name, at=at)
    items.set_state(session, "AA", "retired", at, "broken")
    items.merge_item(session, "BB", "CC", at)

    assert tables.give_out(session, "items").count("\r\n") == 2


def test_every_problem_is_named_by_line_and_column(filled: RecordSession, at: datetime) -> None:
    text = (
        "name;model;price;in service;place\n"
        "A-1;Ribbonet 3;12.50;2026-01-02;House\n"
        ";Ribbonet 9;dear;2026-31-02;attic\n"
        "A-1;;;;\n"
        "A-2;;;;slot\n"
        "A-3;Ribbonet 3\n"
        "A-4;;;;000000\n"
    )

    told = wrong(filled, "items", text, at)
    disagrees = (
        "its last character does not agree with the others: at least one of the six is wrong"
    )

    assert [one.partition(". ")[0].partition(" (")[0] for one in told] == [
        "line 3, name: it is missing",
        "line 3, in service: '2026-31-02' is no day",
        "line 3, price: 'dear' is no amount",
        "line 3, model: No model 'Ribbonet 9'",
        "line 3, place: No place 'attic'",
        "line 4: There is an item 'A-1' in use",
        "line 5: slot is a position and -HD; 04 fills it",
        "line 6: it has 2 cells, the first line names 5 columns",
        f"line 7, place: code: '000 000' is no code, {disagrees}",
    ]


def test_after_an_error_nothing_is_kept(engine: Engine, writer: Writer, at: datetime) -> None:
    text = "name,price\nA-1,12.50\nA-2,dear\nA-3,1\n"

    with (
        pytest.raises(InvalidError),
        units.begin(engine, writer) as unit,
    ):
        tables.take_in(unit, "items", text, at)

    with units.read(engine) as unit:
        assert unit.scalars(select(Item)).all() == []
        assert unit.scalars(select(History)).all() == []


def test_a_row_that_failed_leaves_nothing_for_the_next(
    session: RecordSession, at: datetime
) -> None:
    tables.take_in(session, "places", "name,kind\nslot,position\n", at)
    an_item(session, "first", place="slot", at=at)

    # 'A-1' is refused for its place; a second one of that name is no double of it.
    found = wrong(session, "items", "name,place\nA-1,slot\nA-1,\n", at)

    assert [one.partition(":")[0] for one in found] == ["line 2"]
    names = session.scalars(select(Item.name).order_by(col(Item.name))).all()
    assert names == ["A-1", "first"]


def test_who_imports_is_kept_for_every_row(session: RecordSession, at: datetime) -> None:
    tables.take_in(session, "items", "name\nA-1\nA-2\n", at)

    writers = session.scalars(select(History.who).where(History.kind == "item")).all()
    assert list(writers) == ["M.O.", "M.O."]


def test_places_come_in_with_those_they_lie_in_before_them(
    session: RecordSession, at: datetime
) -> None:
    late = "name,within\nrack,House\nHouse,\n"
    assert wrong(session, "places", late, at)[0].startswith("line 2, within: No place 'House'.")


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("{broken", "line 2, technical: it is no JSON"),
        ("length", "line 2, technical: 'length' is no NAME=VALUE."),
    ],
)
def test_technical_data_that_can_not_be_read(
    cell: str, told: str, session: RecordSession, at: datetime
) -> None:
    (found,) = wrong(session, "models", f"maker,name,technical\nX,Y,{cell}\n", at)

    assert found.startswith(told)


def test_two_models_of_one_name_ask_for_the_maker(session: RecordSession, at: datetime) -> None:
    tables.take_in(session, "models", "maker,name\nOssprell,Reed\nYelkarn,Reed\n", at)

    (found,) = wrong(session, "items", "name,model\nA-1,Reed\n", at)

    assert found.startswith("line 2, model: 'Reed' may be 'Ossprell Reed', 'Yelkarn Reed'.")


def test_an_unknown_kind_names_those_there_are(session: RecordSession, at: datetime) -> None:
    for call in (
        lambda: tables.give_out(session, "people"),
        lambda: tables.take_in(session, "people", "name\n", at),
    ):
        with pytest.raises(NotFoundError, match="Known are: items, models, places"):
            call()


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_a_file_is_read_with_and_without_its_mark(mark: bytes, tmp_path: Path) -> None:
    path = tmp_path / "items.csv"
    path.write_bytes(mark + "name\nBär\n".encode())

    assert tables.read_file(path) == "name\nBär\n"


def test_a_file_is_written_with_its_mark_and_never_over_another(tmp_path: Path) -> None:
    path = tmp_path / "items.csv"

    tables.write_file(path, "name\r\nBär\r\n")

    assert path.read_bytes() == b"\xef\xbb\xbfname\r\nB\xc3\xa4r\r\n"
    assert tables.read_file(path) == "name\r\nBär\r\n"
    with pytest.raises(StorageError, match="is there already"):
        tables.write_file(path, "name\r\n")


def test_a_file_in_another_encoding_is_refused_by_its_line(tmp_path: Path) -> None:
    path = tmp_path / "items.csv"
    path.write_bytes("name\nA-1\nBär\n".encode("latin-1"))

    with pytest.raises(InvalidError, match="line 3: it isn't UTF-8"):
        tables.read_file(path)


def test_a_file_that_is_too_long_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "FILE_LIMIT", 10)
    path = tmp_path / "items.csv"
    path.write_bytes(b"name\n12345")
    assert tables.read_file(path) == "name\n12345"
    path.write_bytes(b"name\n123456")

    with pytest.raises(InvalidError, match="more than 10 bytes"):
        tables.read_file(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="can't be read: No such file"):
        tables.read_file(tmp_path / "items.csv")
    with pytest.raises(StorageError, match="can't be read: Is a directory"):
        tables.read_file(tmp_path)


def test_the_columns_are_the_fields_of_the_drafts(filled: RecordSession) -> None:
    heads = {kind: tables.give_out(filled, kind).splitlines()[0] for kind in KINDS}

    assert heads == {
        "places": '"name","kind","within","minute_cost","picture","sound"',
        "models": '"maker","name","equipment_class","technical"',
        "items": '"name","model","batch","serial","place","in_service","bought","price",'
        '"supplier","warranty_until","note"',
    }
