"""Labels printed ahead: reserved once, given once, also after an old backup was brought back."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest
from builders import a_place, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import ahead, codes, items, lookup, pages, places, views
from kb.records import creating, opening, workspace
from kb.records import session as units
from kb.records.settings import Settings
from kb.records.unit import Writer

AT = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)


def chance(seed: int = 1) -> Random:
    return Random(seed)  # noqa: S311 - chance that repeats


def test_reserved_codes_are_codes_of_nothing_until_they_are_used(session: Session) -> None:
    drawn = ahead.reserve(session, 20, AT, chance())
    assert len(set(drawn)) == 20
    assert [codes.read(code) for code in drawn] == list(drawn)
    assert set(ahead.unused(session)) == set(drawn)
    code = items.add_item(session, {"name": "CC-01"}, AT, code=drawn[3])
    assert code == drawn[3]
    assert lookup.item(session, drawn[3]).name == "CC-01"
    place = places.add_place(session, {"name": "case 3", "kind": "case"}, AT, code=drawn[4])
    assert place == drawn[4] == lookup.place_of_code(session, drawn[4])
    assert set(ahead.unused(session)) == set(drawn) - set(drawn[3:5])


def test_codes_drawn_already_are_passed_over(session: Session) -> None:
    first = ahead.reserve(session, 30, AT, chance())
    second = ahead.reserve(session, 30, AT, chance())
    assert not set(first) & set(second)


@pytest.mark.slow
@pytest.mark.parametrize("server", [None, "postgresql"])
def test_two_that_reserve_at_once_share_no_code(
    server: str | None, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    database = request.getfixturevalue(server) if server else None
    with (
        workspace.building(tmp_path / "studio", Settings(database=database)) as made,
        creating.created(made),
    ):
        pass
    engine = opening.open_engine(workspace.opened(tmp_path / "studio"))

    def reserve(_number: int) -> tuple[str, ...]:
        with units.begin(engine, Writer("K.L.", "terminal", AT)) as unit:
            return ahead.reserve(unit, 100, AT, chance())

    with ThreadPoolExecutor(4) as pool:
        drawn = [code for block in pool.map(reserve, range(4)) for code in block]
    with units.read(engine) as unit:
        kept = ahead.unused(unit)
    engine.dispose()
    assert len(drawn) == len(set(drawn)) == 400
    assert set(kept) == set(drawn)


@pytest.mark.parametrize("count", [0, -1, 5001])
def test_a_count_out_of_range_is_refused(count: int, session: Session) -> None:
    with pytest.raises(InvalidError, match="new: give a number from 1 to 5000"):
        ahead.reserve(session, count, AT)


def test_a_code_that_this_base_never_drew_can_still_be_given(session: Session) -> None:
    assert ahead.is_free(session, "K7M 4XV")
    assert not ahead.reserved(session, "K7M4XV")
    assert items.add_item(session, {"name": "CC-01"}, AT, code="k7m-4xv") == "K7M4XV"
    assert not ahead.is_free(session, "K7M4XV")
    assert ahead.reserved(session, "K7M4XV")


@pytest.mark.parametrize(
    ("typed", "said"),
    [("K7M4XW", "is no code"), ("K7M4", "a code has 6 characters"), ("K7M4X?", "is in no code")],
)
def test_what_is_no_code_is_on_no_label(typed: str, said: str, session: Session) -> None:
    assert not ahead.is_free(session, typed)
    with pytest.raises(InvalidError, match=said):
        items.add_item(session, {"name": "CC-01"}, AT, code=typed)


def test_a_code_is_given_once(session: Session) -> None:
    taken = an_item(session, "CC-01")
    a_place(session, "RR")
    (there,) = (line.code for line in views.place_lines(session))
    with pytest.raises(ConflictError, match="is on CC-01 already"):
        items.add_item(session, {"name": "CC-02"}, AT, code=taken)
    with pytest.raises(ConflictError, match="is on the place RR already"):
        items.add_item(session, {"name": "CC-02"}, AT, code=there)


def test_a_new_label_leads_to_the_item_and_so_does_the_old_one(session: Session) -> None:
    old = an_item(session, "CC-01")
    (new,) = ahead.reserve(session, 1, AT, chance(9))
    ahead.relabel(session, "CC-01", new, AT)
    assert {lookup.item(session, code).name for code in (old, new)} == {"CC-01"}
    page = pages.item_page(session, old)
    assert page.line.code == new
    assert set(page.codes) == {old, new}


def test_a_new_label_leads_to_the_place_and_so_does_the_old_one(session: Session) -> None:
    a_place(session, "RR")
    old = views.place_lines(session)[0].code
    first, second = ahead.reserve(session, 2, AT, chance(9))
    for new in (first, second):
        ahead.relabel_place(session, "RR", new, AT)
        assert [(line.name, line.code) for line in views.place_lines(session)] == [("RR", new)]
    assert {lookup.place(session, code).name for code in (old, first, second)} == {"RR"}
    assert not ahead.is_free(session, first)
    with pytest.raises(ConflictError, match="is on the place RR already"):
        ahead.relabel_place(session, "RR", old, AT)


def test_what_is_known_gets_the_label_be_it_a_thing_or_a_place(session: Session) -> None:
    an_item(session, "CC-01")
    a_place(session, "RR")
    there = views.place_lines(session)[0].code
    names = ("CC-01", "RR", there)
    for typed, code in zip(names, ahead.reserve(session, 3, AT, chance(9)), strict=True):
        ahead.relabel_known(session, typed, code, AT)
        found = lookup.place_of_code(session, code)
        assert found == (None if typed == "CC-01" else code)
    with pytest.raises(NotFoundError, match="No item 'ZZ-99'"):
        ahead.relabel_known(session, "ZZ-99", "K7M4XV", AT)
    an_item(session, "RR")  # a thing and a place of one name: the thing
    ahead.relabel_known(session, "RR", "K7M4XV", AT)
    assert lookup.item(session, "K7M4XV").name == "RR"


def test_what_is_retired_gets_no_new_label(session: Session) -> None:
    an_item(session, "CC-01")
    items.set_state(session, "CC-01", "retired", AT, "burnt")
    with pytest.raises(ConflictError, match="CC-01 is retired"):
        ahead.relabel(session, "CC-01", "K7M4XV", AT)
    a_place(session, "RR")
    places.retire_place(session, "RR", AT)
    with pytest.raises(NotFoundError, match="No place 'RR'"):
        ahead.relabel_place(session, "RR", "K7M4XV", AT)
