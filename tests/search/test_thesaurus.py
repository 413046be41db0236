import os

import pytest

from kb.search import thesaurus

GROUPS = """
# a remark
screen, display, panel screen ~0.8 tv ~0.2 set
~0.5 pink, magenta
hum, earth loop
howl, feedback
"""
SENSES = """
# a remark
feedback > howl: speaker, microphone
loop > hum: earth, buzzing
"""
SMALL = thesaurus.read(GROUPS, SENSES)


@pytest.mark.parametrize(
    ("text", "meanings"),
    [
        ("the Displays", {"=screen": 1.0}),
        ("a tv", {"=screen": 0.8}),
        ("the tv and the screen", {"=screen": 1.0}),
        ("panel-screen", {"=screen": 1.0}),
        ("the panel", {}),
        ("magenta", {"=pink": 0.5}),
        ("it is an earth-loop", {"=hum": 1.0}),
        ("feedback", {}),
        ("feedback from speakers", {"=howl": 1.0}),
        ("a loop that buzzes", {"=hum": 1.0}),
        ("a loop in the network", {}),
        ("", {}),
    ],
)
def test_words_and_phrases_mean_their_group_and_ambiguous_ones_beside_a_cue(
    text: str, meanings: dict[str, float]
) -> None:
    terms = thesaurus.phrase_of(text).split()

    assert SMALL.meanings(terms) == meanings


def test_what_is_shipped_is_made_from_the_two_texts() -> None:
    """Run with KITLORE_RENEW=1 after a change of them."""
    if os.environ.get("KITLORE_RENEW"):
        path = thesaurus.DATA / "compiled.json"
        path.write_text(thesaurus.compiled(), encoding="utf-8")

    assert (thesaurus.DATA / "compiled.json").read_text(encoding="utf-8") == thesaurus.compiled()


def test_every_sense_belongs_to_a_group() -> None:
    shipped = thesaurus.shipped()
    groups = {
        name
        for phrase, meanings in shipped.phrases.items()
        for name in meanings
        if phrase not in shipped.senses
    }

    senses = {name for names in shipped.senses.values() for name in names}
    assert senses - groups == set()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("telly", "monitor picture"),
        ("silence", "nobody hears"),
        ("sound desk", "mixing console"),
        ("radio mike", "wireless microphone"),
        ("aerial", "antenna"),
        ("ground", "earth"),
        ("outlet", "socket"),
        ("fiber", "optical lead"),
        ("torch", "flashlight"),
        ("zap", "electric shock"),
    ],
)
def test_what_crews_call_alike_means_the_same(one: str, other: str) -> None:
    """Common practice, no source."""
    shipped = thesaurus.shipped()
    mine, theirs = (shipped.meanings(thesaurus.phrase_of(text).split()) for text in (one, other))

    assert mine.keys() & theirs.keys()


@pytest.mark.parametrize(
    ("one", "other"),
    [("vision mixer", "sound desk"), ("network switch", "switcher"), ("crushed", "washed out")],
)
def test_what_must_not_be_taken_for_each_other_is_not(one: str, other: str) -> None:
    shipped = thesaurus.shipped()
    mine, theirs = (shipped.meanings(thesaurus.phrase_of(text).split()) for text in (one, other))

    assert not mine.keys() & theirs.keys()
