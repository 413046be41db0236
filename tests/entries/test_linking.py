"""Words of the trade lead to the glossary, each where it's read first."""

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.entries import linking, parse
from kb.entries.glossary import Word
from kb.entries.inline import inline_html, inline_text
from kb.entries.model import Entry, Fix, Section
from kb.entries.words import Area

WORDS = (Word("fader", "A slider.", (), 1), Word("UPS", "A box.", ("battery box",), 5))
AT = "/g"


@pytest.fixture
def entry(sample: str) -> Entry:
    return parse.entry_from(sample)


def linked(entry: Entry, *about: str) -> tuple[str, ...]:
    """Return the paragraphs of an entry that says just these."""
    return linking.linked(dataclasses.replace(entry, about=about), WORDS, AT).about


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Pull the fader.", "Pull the [fader](/g#fader)."),
        ("Faders down, fader up.", "[Faders](/g#fader) down, fader up."),
        ("The battery box, or UPS.", "The [battery box](/g#ups), or UPS."),
        ("*fader*", "*[fader](/g#fader)*"),
        ("`fader` and fader", "`fader` and [fader](/g#fader)"),
        ("[the fader](/x) and fader", "[the fader](/x) and [fader](/g#fader)"),
        ("[x](/fader)", "[x](/fader)"),
        ("<https://fader.example>", "<https://fader.example>"),
        ("Nothing here.", "Nothing here."),
    ],
)
def test_a_word_is_linked_where_it_is_plain_text(text: str, wanted: str, entry: Entry) -> None:
    assert linked(entry, text) == (wanted,)


def test_a_word_is_linked_once_an_entry_in_the_order_of_reading(entry: Entry) -> None:
    fixes = tuple(
        Fix(key, "The fader", 10, section=Section(("Mind the UPS.",), ("Pull the fader.",)))
        for key in ("one", "two")
    )
    found = linking.linked(
        dataclasses.replace(
            entry, first_acts=Section(steps=("Off the UPS.",)), about=(), fixes=fixes
        ),
        WORDS,
        AT,
    )

    assert found.first_acts.steps == ("Off the [UPS](/g#ups).",)
    assert found.fixes[0].section == Section(("Mind the UPS.",), ("Pull the [fader](/g#fader).",))
    assert found.fixes[1] == fixes[1]
    assert found.fixes[0].title == "The fader"


def test_without_words_an_entry_stays_as_it_is(entry: Entry) -> None:
    assert linking.linked(entry, (), AT) is entry


@settings(max_examples=60, deadline=None)
@given(st.text("fader UPS`[]()<>\\*_!#-", max_size=40))
def test_what_is_read_stays_the_same(text: str) -> None:
    plain = Entry("a", "A", Area.AUDIO, (), (), (), (), (), about=(text,))
    (found,) = linking.linked(plain, WORDS, AT).about

    shown = inline_text(found).replace(" (/g#fader)", "").replace(" (/g#ups)", "")
    assert shown == inline_text(plain.about[0])
    assert inline_html(found).count('href="/g#fader"') <= 1
