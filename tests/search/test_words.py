"""The crew's own words: kept, asked with in both directions, taken back."""

from pathlib import Path

import pytest
from fault_builders import NOW, an_entry, an_entry_text
from indexed import CLOCK
from sqlmodel import Session

from kb.entries import library
from kb.errors import InvalidError, NotFoundError
from kb.search import query, refresh, words
from kb.search.query import Answer


def asked(session: Session, folder: Path, text: str) -> Answer:
    assert refresh.catch_up(session, folder, CLOCK)
    return query.search(folder, text)


def keys(answer: Answer) -> list[str]:
    return [hit.key for hit in answer.hits if hit.kind == "entry"]


def test_a_word_of_the_crews_own_finds_what_it_means_until_it_is_taken_back(
    session: Session, folder: Path
) -> None:
    an_entry(session)
    assert keys(asked(session, folder, "big bertha")) == []

    number = words.add_word(session, {"word": "Big Bertha", "means": "screen"}, NOW)
    found = asked(session, folder, "our big bertha")
    assert keys(found) == ["display-no-signal"]
    assert [(each.typed, each.read) for each in found.corrections] == [
        ("big bertha", ("screen",)),
    ]
    assert keys(query.search(folder, "our big bertha", undo=["big bertha"])) == []
    assert keys(asked(session, folder, "bertha's big")) == []

    words.remove_word(session, number, NOW)
    assert keys(asked(session, folder, "big bertha")) == []


def test_the_usual_words_find_what_is_written_in_the_crews(session: Session, folder: Path) -> None:
    text = an_entry_text("bertha", title="Bertha grumbles", symptoms=("bertha grumbles",))
    library.save_entry(session, text, NOW)
    words.add_word(session, {"word": "bertha", "means": "generator"}, NOW)

    assert keys(asked(session, folder, "generator")) == ["bertha"]


def test_words_are_listed_and_the_same_is_kept_once(session: Session) -> None:
    one = words.add_word(session, {"word": "wobbly", "means": "screen flickers"}, NOW)
    again = words.add_word(session, {"word": "wobbly", "means": "screen flickers"}, NOW)
    words.add_word(session, {"word": "bertha", "means": "screen"}, NOW)

    assert one == again
    assert [(line.word, line.means) for line in words.own_words(session)] == [
        ("bertha", "screen"),
        ("wobbly", "screen flickers"),
    ]


@pytest.mark.parametrize(("word", "means"), [("", "x"), ("bertha", ""), ("the", "it is")])
def test_what_says_nothing_is_refused(session: Session, word: str, means: str) -> None:
    with pytest.raises(InvalidError):
        words.add_word(session, {"word": word, "means": means}, NOW)


def test_a_word_is_taken_back_once(session: Session) -> None:
    number = words.add_word(session, {"word": "bertha", "means": "screen"}, NOW)
    words.remove_word(session, number, NOW)

    with pytest.raises(NotFoundError):
        words.remove_word(session, number, NOW)
