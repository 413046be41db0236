"""Where somebody can be hurt or a recording lost, entries caution."""

from pathlib import Path

import pytest

from kb.entries import parse
from kb.entries.model import Entry

SHIPPED = Path(__file__).parents[2] / "entries"

# Topics in which somebody can be hurt or a recording lost: common practice, no source.
DANGER = """
    audio-feedback audio-hum audio-level-too-low audio-no-monitor audio-phantom-power
    audio-talkback-ifb audio-wireless-battery-flat audio-wireless-interference battery-swollen
    cable-bent-pin cable-fibre-dirty cable-intermittent cable-over-length call-account-login
    call-notification-on-air call-own-voice-echo camera-control-lost camera-no-picture
    computer-cpu-throttling computer-low-battery display-copy-protection-black display-no-signal
    drive-full drive-wrong-file-system equipment-overheating light-flicker-banding
    light-not-responding power-breaker-tripped power-one-unit-dead power-sequencing
    power-supply-wrong power-tingle-shock power-ups-beeping
""".split()  # noqa: SIM905 - one word a line would fill a page


def cautions_of(entry: Entry) -> list[str]:
    swap = [entry.swap.section] if entry.swap else []
    sections = [entry.first_acts, *(fix.section for fix in entry.fixes), *swap, entry.afterwards]
    return [caution for section in sections for caution in section.cautions]


@pytest.mark.parametrize("slug", DANGER)
def test_danger_comes_with_a_caution(slug: str) -> None:
    assert cautions_of(parse.entry_from((SHIPPED / f"{slug}.md").read_text(encoding="utf-8")))
