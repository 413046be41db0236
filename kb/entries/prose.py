"""Rules on what is read: the sections of the body, the sources, and every text's own form."""

import re
from collections.abc import Iterator

from kb.entries import hazards
from kb.entries.case import Case
from kb.entries.model import Entry, Section
from kb.entries.source import Finding
from kb.entries.words import AFTERWARDS, CAUTION, FIRST_ACTS, SEE

ABOUT_LIMIT = 2
PRACTICE = "common practice, no source"

# A tag or remark of HTML as CommonMark 0.31 section 6.6 opens it; code spans are cut out before.
_HTML = re.compile(r"<(?:/?[A-Za-z][A-Za-z0-9-]*(?:\s[^<>]*)?/?>|!|\?)")
_CODE = re.compile(r"(`+)(?!`).*?(?<!`)\1(?!`)")
_IMAGE = re.compile(r"!\[[^]]*\]\(")
_ADDRESS = re.compile(
    r"https?:|www\.|\b[a-z0-9-]+\.(?:com|org|net|info|io|dev|gov|edu|eu|uk|de|fr|ch|at|jp|us)\b",
    re.IGNORECASE,
)
# SI and trade units that a reader could look up; times and counts are practice.
_FIGURE = re.compile(
    r"(?<![\w.])[-+\u2212]?\d[\d.,]*\s?"
    r"(?:V|A|mA|W|kW|VA|dB\w*|LUFS|LKFS|Hz|kHz|MHz|GHz|[kMG]b/s|[MG]B/s|nm|\u00b0C|\u03a9|ohms?)\b"
)


def fixes_told(case: Case) -> Iterator[Finding]:
    """Find fixes and swaps without steps, or without how to see that they worked."""
    for name, section in case.sections():
        if name in (FIRST_ACTS, AFTERWARDS):
            continue
        line = case.at("body", name)
        if not section.steps:
            yield Finding(line, "no steps tell what to do. Write a numbered list, one act a step.")
        if not section.see:
            yield Finding(line, f"nothing says how to know that it worked. Write '{SEE} ...'.")


def edges_told(case: Case) -> Iterator[Finding]:
    """Find first acts or work for afterwards that hold no acts."""
    for name, section in case.sections():
        if name in (FIRST_ACTS, AFTERWARDS) and not section.is_empty and not section.steps:
            yield Finding(case.at("body", name), f"'{name}' lists no acts. Write what to do.")


def short_about(case: Case) -> Iterator[Finding]:
    """Find more paragraphs above the fixes than somebody in a hurry passes over."""
    if len(case.entry.about) > ABOUT_LIMIT:
        mend = f"Keep {ABOUT_LIMIT}."
        yield Finding(case.at("about", ABOUT_LIMIT), f"it is one paragraph too many. {mend}")


def cautions_given(case: Case) -> Iterator[Finding]:
    """Find steps that speak of a danger with no caution above them."""
    for name, section in case.sections():
        if section.cautions:
            continue
        for number, step in enumerate(section.steps):
            danger = hazards.danger_in(step)
            if danger:
                mend = f"Put '> {CAUTION} ...' above the steps of this section."
                message = f"the step speaks of '{danger}' and no caution stands above. {mend}"
                yield Finding(case.at("body", name, number), message)
                break


def local_rules_decide(case: Case) -> Iterator[Finding]:
    """Find talk of mains wiring that nowhere leaves it to local rules and competent people."""
    cautions = [text for _name, section in case.sections() for text in section.cautions]
    if any(map(hazards.defers, cautions)):
        return
    for name, section in case.sections():
        for number, step in enumerate(section.steps):
            danger = hazards.wiring_in(step)
            if danger:
                mend = "Say in a caution that local rules decide, or who is licensed to do it."
                message = f"the step speaks of '{danger}', which isn't everybody's work. {mend}"
                yield Finding(case.at("body", name, number), message)
                return


def neighbours_known(case: Case) -> Iterator[Finding]:
    """Find slugs of entries that don't exist, and the entry's own."""
    for slug in case.entry.confused_with:
        line = case.at("confused with", slug)
        if slug == case.entry.slug:
            yield Finding(line, "the entry is confused with itself. Take its slug out.")
        elif slug not in case.known_slugs:
            yield Finding(line, f"no entry is called '{slug}'. Correct the slug or take it out.")


def sources_named(case: Case) -> Iterator[Finding]:
    """Find missing sources, web addresses among them, and figures that have none."""
    sources = case.entry.sources
    if not sources:
        mend = f"Name a standard or a text, or say '{PRACTICE}'."
        yield Finding(1, f"no source is named. {mend}")
    for number, source in enumerate(sources):
        address = _ADDRESS.search(source)
        if address:
            mend = "Name the standard or the text by its title."
            line = case.at("sources", number)
            yield Finding(line, f"'{address[0]}' is part of a web address. {mend}")
    if sources == (PRACTICE,):
        yield from _unsourced_figures(case)


def _unsourced_figures(case: Case) -> Iterator[Finding]:
    for place, text in _texts(case):
        figure = _FIGURE.search(text)
        if figure:
            mend = "Name where it comes from, or say 'from memory: ...' among the sources."
            yield Finding(case.at(*place), f"'{figure[0]}' has no source. {mend}")
            return


def plain_texts(case: Case) -> Iterator[Finding]:
    """Find HTML and pictures: they show as marks, or not at all."""
    for place, text in _texts(case):
        bare = _CODE.sub("", text)
        if _HTML.search(bare):
            yield Finding(case.at(*place), "HTML isn't shown. Write it in words or in `code`.")
        if _IMAGE.search(bare):
            yield Finding(case.at(*place), "pictures aren't shown. Say in words what to see.")


def read_texts(entry: Entry) -> Iterator[str]:
    """Yield every text of an entry's body: what somebody reads who mends."""
    return (text for _place, text in _texts(Case("", entry, {}, ())))


def _texts(case: Case) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield every text of the body with its place."""
    for number, paragraph in enumerate(case.entry.about):
        yield ("about", number), paragraph
    for fix in case.entry.fixes:
        yield ("body", fix.key), fix.title
    for name, section in case.sections():
        yield from ((("body", name, number), step) for number, step in enumerate(section.steps))
        yield from ((("body", name), text) for text in _other(section))


def _other(section: Section) -> tuple[str, ...]:
    return (*section.cautions, section.see, section.stop)


RULES = (
    fixes_told,
    edges_told,
    short_about,
    cautions_given,
    local_rules_decide,
    neighbours_known,
    sources_named,
    plain_texts,
)
