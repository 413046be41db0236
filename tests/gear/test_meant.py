"""The name of a thing is told from words, however its number is written."""

import pytest
from builders import BEGAN, an_item
from sqlmodel import Session

from kb.gear import codes, items, meant


@pytest.mark.parametrize("typed", ["CC-05", "cc-05", "cc05", "CC 5", " cc  05 ", "cc5", "Cc-5"])
def test_a_name_is_known_in_each_of_its_spellings(typed: str, session: Session) -> None:
    code = an_item(session, "CC-05")
    found = meant.thing(session, typed)

    assert found is not None
    assert (found.name, found.code) == ("CC-05", code)


def test_a_code_and_a_name_of_several_words_are_known(session: Session) -> None:
    code = an_item(session, "laptop 3")

    for typed in (code, codes.shown(code), "Laptop 3", "laptop3"):
        found = meant.thing(session, typed)
        assert found is not None
        assert found.code == code


@pytest.mark.parametrize(
    "typed", ["", "  ", "CC-06", "no sound", "cc", "05", "CC-05 is dead", "²"]
)
def test_other_words_name_nothing(typed: str, session: Session) -> None:
    an_item(session, "CC-05")

    assert meant.thing(session, typed) is None


def test_one_in_use_comes_before_a_retired_one(session: Session) -> None:
    an_item(session, "CC-5")
    items.set_state(session, "CC-5", "retired", BEGAN, "burnt")
    in_use = an_item(session, "CC-05")

    found = meant.thing(session, "CC-5")
    assert found is not None
    assert found.code == in_use


def test_a_retired_one_is_still_known(session: Session) -> None:
    code = an_item(session, "CC-05")
    items.set_state(session, "CC-05", "retired", BEGAN, "burnt")

    found = meant.thing(session, "cc05")
    assert found is not None
    assert (found.code, found.state) == (code, "retired")
