"""Facts of the trade that the shipped entries must tell: common practice, no source."""

from functools import cache
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


@cache
def text_of(slug: str) -> str:
    return (SHIPPED / f"{slug}.md").read_text(encoding="utf-8")


def entry_of(slug: str) -> Entry:
    return parse.entry_from(text_of(slug))


def body_of(slug: str) -> str:
    return text_of(slug).partition("\n---\n")[2]


def cautions_of(entry: Entry) -> list[str]:
    swap = [entry.swap.section] if entry.swap else []
    sections = [entry.first_acts, *(fix.section for fix in entry.fixes), *swap, entry.afterwards]
    return [caution for section in sections for caution in section.cautions]


def test_wrong_colours_right_after_start_up_are_normal_and_a_replug_settles_them() -> None:
    first = entry_of("display-colour-shift").fixes[0]

    assert "normal here" in body_of("display-colour-shift")
    assert first.key == "replug"
    assert "Pull the video lead out of the computer." in first.section.steps
    assert first.takes_s < 60
    assert "well under a minute" in body_of("power-sequencing")


def test_a_controller_that_its_program_does_not_see_comes_back_with_a_rescan() -> None:
    first = entry_of("control-not-recognised").fixes[0]

    assert first.key == "rescan"
    assert any("search for devices again" in step for step in first.section.steps)


@pytest.mark.parametrize("slug", ["display-colour-shift", "power-sequencing"])
def test_after_the_common_power_on_things_get_seconds_before_they_are_judged(slug: str) -> None:
    assert "ten seconds" in body_of(slug)


def test_a_pointer_over_a_recorded_screen_is_recorded() -> None:
    told = "a pointer over a recorded screen is recorded"

    assert told in body_of("call-notification-on-air")
    assert told in body_of("call-camera-not-shown")


def test_a_caller_gets_everything_back_but_their_own_voice() -> None:
    assert "holds everything but that caller" in body_of("audio-mix-minus-missing")


@pytest.mark.parametrize("slug", DANGER)
def test_danger_comes_with_a_caution(slug: str) -> None:
    assert cautions_of(entry_of(slug))
