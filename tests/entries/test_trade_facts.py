"""Facts of the trade that the shipped entries hold to; all of them common practice, no source."""

import re
from functools import cache
from pathlib import Path

import pytest

from kb.entries import folders, hazards, parse, prose
from kb.entries.model import Entry, Fix
from kb.entries.words import Disruption

ENTRIES = Path(__file__).parents[2] / "entries"


@cache
def entries() -> dict[str, Entry]:
    """Return every shipped entry by its slug."""
    return {
        slug: parse.entry_from((ENTRIES / f"{slug}.md").read_text(encoding="utf-8"))
        for slug in folders.slugs(ENTRIES)
    }


def said(slug: str) -> str:
    """Return all that is read in an entry."""
    return " ".join(prose.read_texts(entries()[slug]))


def fix(slug: str, key: str) -> Fix:
    (found,) = (one for one in entries()[slug].fixes if one.key == key)
    return found


def test_wrong_colours_right_after_start_up_are_normal() -> None:
    about = " ".join(entries()["display-colour-shift"].about)

    assert re.search(r"one switch.*first minutes is normal", about)
    assert "display-colour-shift" in entries()["power-sequencing"].confused_with
    assert "Wrong colours right after start-up are normal" in said("power-sequencing")


def test_the_video_lead_replugged_at_the_computer_comes_first_and_is_quick() -> None:
    first = entries()["display-colour-shift"].fixes[0]
    steps = " ".join(first.section.steps)

    assert re.search(r"[Pp]ull the video lead out of the computer.*[Pp]ush it in again", steps)
    assert first.takes_s <= 30
    assert {"always", "usually"} & {chance.value for _cause, chance in first.cures}
    assert fix("power-sequencing", "replug-video").takes_s <= 30


def test_a_controller_its_program_does_not_see_comes_back_with_a_rescan() -> None:
    first = entries()["control-not-recognised"].fixes[0]

    assert first.key == "rescan"
    assert (first.disruption, first.worst_s <= 30) == (Disruption.NONE, True)
    assert any("search for devices again" in step for step in first.section.steps)
    assert first.cures[0][0] == "control program started first"
    assert first.cures[0][1].value == "always"


@pytest.mark.parametrize(
    "slug",
    ["control-not-recognised", "display-colour-shift", "multiview-wrong-tile", "power-sequencing"],
)
def test_after_the_common_power_on_everything_gets_its_ten_seconds_before_it_is_judged(
    slug: str,
) -> None:
    assert re.search(r"\bten seconds\b", said(slug))


def test_a_first_fix_that_takes_longer_than_a_crew_has_says_so() -> None:
    # A practised crew takes a room from off to ready in one to two minutes.
    slow = {slug: one for slug, one in entries().items() if one.fixes[0].takes_s > 120}

    assert slow
    for slug, entry in slow.items():
        section = entry.fixes[0].section
        told = " ".join([*entry.about, *section.cautions, *section.steps, section.see])
        assert re.search(r"\bminutes?\b", told), slug


def test_a_pointer_over_a_recorded_screen_is_recorded() -> None:
    assert re.search(
        r"pointer, messages and mail on the one that goes to the studio are seen and recorded",
        said("display-fullscreen-wrong-output"),
    )
    parked = [
        slug
        for slug in entries()
        if "Take the pointer to a screen that nobody records." in said(slug)
    ]
    assert len(parked) >= 8


def test_a_caller_gets_everything_back_but_their_own_voice() -> None:
    entry = entries()["audio-mix-minus-missing"]
    about = " ".join(entry.about)
    first = " ".join(entry.fixes[0].section.steps)

    assert "everything but that caller: host, room, clips and all other callers" in about
    assert "the caller's own channel in that send" in first
    assert "Leave every other channel in that send as it is." in first
    assert "everything but" in said("call-studio-not-heard")
    meaning = next(one.meaning for one in folders.words(ENTRIES) if one.term == "mix-minus")
    assert "everything but that caller's own voice" in meaning


@pytest.mark.parametrize("slug", sorted(folders.slugs(ENTRIES)))
def test_an_entry_that_speaks_of_a_danger_cautions_and_of_wiring_defers(slug: str) -> None:
    entry = entries()[slug]
    sections = [entry.first_acts, *(one.section for one in entry.fixes), entry.afterwards]
    sections += [entry.swap.section] if entry.swap else []
    for section in sections:
        if any(map(hazards.danger_in, section.steps)):
            assert section.cautions, section.steps
    cautions = " ".join(text for section in sections for text in section.cautions)
    if any(hazards.wiring_in(step) for section in sections for step in section.steps):
        assert hazards.defers(cautions)
