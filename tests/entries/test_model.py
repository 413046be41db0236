import dataclasses

import pytest

from kb import trade
from kb.entries import parse, words
from kb.entries.model import Cause, Entry, Fix, Section, Swap
from kb.entries.words import Area, Chance, Disruption, Likely


@pytest.mark.parametrize(
    ("takes", "told", "worst"), [(45, None, 67.5), (45, 120, 120), (60, 61, 61)]
)
def test_at_worst_is_half_as_long_again_unless_told(
    takes: int, told: int | None, worst: float
) -> None:
    assert Fix("a", "A", takes, told).worst_s == worst
    assert Swap("A", takes, told).worst_s == worst


def test_a_fix_that_names_no_cause_is_a_cause_of_its_own() -> None:
    assert Fix("a", "A", 1).is_own_cause
    assert not Fix("a", "A", 1, cures=(("plug", Chance.NEVER),)).is_own_cause


def test_texts_are_folded_when_a_record_is_made() -> None:
    section = Section((" a\tb ",), ("\\# c  d", "2\\. e"), " f ", "g\n")
    assert section == Section(("a b",), ("# c d", "2. e"), "f", "g")
    assert Cause(" a  b ", Likely.OFTEN).name == "a b"
    assert Fix("a", " A ", 1, cures=(("b  c", Chance.HALF),)).cures == (("b c", Chance.HALF),)


@pytest.mark.parametrize(
    "section",
    [Section(cautions=("a",)), Section(steps=("a",)), Section(see="a"), Section(stop="a")],
)
def test_a_section_with_anything_in_it_is_not_empty(section: Section) -> None:
    assert not section.is_empty
    assert Section().is_empty


def test_nothing_can_be_changed(sample: str) -> None:
    entry = parse.entry_from(sample)
    with pytest.raises(dataclasses.FrozenInstanceError):
        entry.title = "other"  # type: ignore[misc]
    assert hash(entry) == hash(parse.entry_from(sample))
    assert not hasattr(entry, "__dict__")


def test_the_words_are_the_agreed_ones() -> None:
    assert list(Likely) == ["often", "sometimes", "rarely"]
    assert list(Chance) == ["always", "usually", "half", "rarely", "never"]
    assert list(Disruption) == ["none", "this source", "whole show"]
    assert len(words.AREAS) == len(set(Area)) == 9
    assert len(trade.CLASSES) == len(set(trade.CLASSES)) == 38
    assert list(trade.CLASSES) == sorted(trade.CLASSES)


def test_causes_are_known_by_name(sample: str) -> None:
    entry: Entry = parse.entry_from(sample)
    assert entry.cause_names == ("plug loose", "fuse blown")
