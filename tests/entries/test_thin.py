"""What an entry lacks is told, and the shipped ones lack little."""

from dataclasses import replace
from pathlib import Path

import pytest
from fault_builders import NOW, an_entry, an_entry_text
from sqlmodel import Session

from kb.entries import library, parse, thin
from kb.entries.model import Entry, Section
from kb.records.kinds import EntryStatus

# Danger to people or recordings comes before speed in these, and they say how long it takes.
CANT_BE_QUICK = {
    "battery-swollen",
    "drive-copy-failed",
    "power-breaker-tripped",
    "power-tingle-shock",
    "recorder-file-not-closed",
}
SHIPPED = Path(__file__).parents[2] / "entries"


@pytest.fixture(scope="module")
def good() -> Entry:
    text = (SHIPPED / "display-colour-shift.md").read_text(encoding="utf-8")
    return parse.entry_from(text)


def test_a_good_entry_lacks_nothing(good: Entry) -> None:
    assert thin.lacking(good) == ()


def test_what_is_taken_away_is_told(good: Entry) -> None:
    bare = [replace(fix, section=Section(steps=fix.section.steps)) for fix in good.fixes]
    slow = [replace(good.fixes[0], takes_s=121), *good.fixes[1:]]
    cases = {
        "said in 14 ways": replace(good, symptoms=good.symptoms[:14]),
        "a check that tells its causes apart": replace(good, checks=()),
        f"after '{good.fixes[1].title}'": replace(good, fixes=(good.fixes[0], *bare[1:])),
        "when to stop": replace(good, swap=None, fixes=tuple(bare)),
        "a first fix under 2 minutes": replace(good, fixes=tuple(slow)),
        "what to do afterwards": replace(good, afterwards=Section()),
    }
    for told, entry in cases.items():
        assert any(told in lack for lack in thin.lacking(entry)), told


def test_drafts_wait_and_what_lacks_most_comes_first(session: Session) -> None:
    an_entry(session)
    library.add_draft(session, an_entry_text("green-wall"), NOW)
    found = thin.report(session)

    assert [one.line.slug for one in found] == ["green-wall", "display-no-signal"]
    assert found[0].lacks[0] == "a lead who accepts it"
    library.set_status(session, "green-wall", EntryStatus.WITHDRAWN)
    assert [one.line.slug for one in thin.report(session)] == ["display-no-signal"]


def test_the_shipped_entries_are_not_thin() -> None:
    files = [path for path in SHIPPED.glob("*.md") if path.name != "glossary.md"]
    lacks = {path.stem: thin.lacking(parse.entry_from(path.read_text())) for path in files}

    assert len(files) == 110
    assert {slug for slug, told in lacks.items() if told} == CANT_BE_QUICK
    for slug in CANT_BE_QUICK:
        assert "minutes" in (SHIPPED / f"{slug}.md").read_text().partition("\n---\n")[2]
