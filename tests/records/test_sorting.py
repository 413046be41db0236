"""Names stand in the order in which a person counts."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import text

from kb.records import migrate, sorting
from kb.records import session as units

numbers = st.integers(0, 10**30)


@pytest.mark.parametrize(
    "names",
    [
        ["tray 1", "tray 2", "Tray 10", "tray 100"],
        ["CC-1", "cc-02", "CC-3"],
        ["1 desk", "9 desk", "10 desk", "desk"],
        ["in 2", "in 10", "out 1"],
        ["R1 1.9", "R1 1.10", "R2 1.1", "R10"],
        ["rack", "rack 0", "rack 1"],
        ["Ärmel 2", "ärmel 11"],
    ],
)
def test_numbers_are_sorted_as_numbers(names: list[str]) -> None:
    backwards = names[::-1]
    assert sorted(backwards, key=sorting.by_number) == names


@settings(max_examples=60)
@given(numbers, numbers, st.sampled_from(["", "tray ", "CC-"]), st.integers(0, 3))
def test_any_two_numbers_stand_as_they_count(
    one: int, other: int, before: str, zeros: int
) -> None:
    left = sorting.by_number(f"{before}{'0' * zeros}{one}")
    right = sorting.by_number(f"{before}{other}")
    assert (left < right, left == right) == (one < other, one == other)


@settings(max_examples=60)
@given(st.text(max_size=12).filter(lambda name: not re.search("[0-9]", name)))
def test_a_name_without_a_number_is_sorted_whatever_its_case(name: str) -> None:
    assert sorting.by_number(name) == name.casefold()


def test_a_number_that_nobody_writes_is_no_mistake() -> None:
    assert sorting.by_number("9" * 200) > sorting.by_number("10")


def test_a_place_stands_before_what_lies_in_it_and_that_beside_it() -> None:
    paths = ["RR", "RR/tray 01", "RR/tray 01/a", "RR/tray 1", "RR/tray 1/a", "RR/tray 10", "RR 2"]
    backwards = paths[::-1]
    assert sorted(backwards, key=sorting.by_path) == paths


def test_items_of_an_older_base_are_listed_so_too(tmp_path: object) -> None:
    engine = units.engine_for(f"sqlite:///{tmp_path}/kitlore.db")
    migrate.upgrade(engine, "0003")
    row = "INSERT INTO item (id, version, code, name, name_folded, state) VALUES "
    with engine.begin() as connection:
        for key, name in enumerate(("CC-10", "CC-2", "Ä 1"), 1):
            values = {"key": key, "code": f"00000{key}", "name": name, "folded": name.casefold()}
            said = "(:key, 1, :code, :name, :folded, 'fit')"
            connection.execute(text(row + said), values)
    migrate.upgrade(engine)
    with engine.connect() as connection:
        found = connection.scalars(text("SELECT name FROM item ORDER BY name_order")).all()
    assert found == ["CC-2", "CC-10", "Ä 1"]
    engine.dispose()
