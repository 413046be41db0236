import dataclasses

import pytest

from kb.entries import parse, render
from kb.entries.model import Section

SHOWN = """\
SIGNAL LAMP OF THE DESK STAYS
DARK
Power, batteries and heat

FIRST ACTS
  CAUTION: a smell of burning
  means hands off.
  1. Let go of it.

Half of these are a plug that
looks seated and is not.

LOOK FIRST
  - Do the neighbours on the
    same strip work? (5 s)

FIX 1: Push the plug home
  20 s, interrupts nothing
  1. Follow the lead to its
     plug.
  2. Push it in.
  You should see: the lamp at
  once.

FIX 2: Use another outlet
  1 min, at worst 3 min,
  interrupts this source, after
  fix 1
  CAUTION: pull at the plug,
  never at the lead.
  CAUTION: dry hands.
  1. Pull the plug.
  2. Put it into a tested
     outlet.
  You should see: the lamp
  within five seconds.
  Stop when: the second outlet
  does nothing either.

FIX 3: Wait for its slow start
  1 min 30 s, interrupts this
  source
  1. Count to ninety.
  You should see: the lamp.

SPARE: Swap it
  3 min
  1. Put the spare in its
     place.
  You should see: the spare's
  lamp.

AFTERWARDS
  - Tag the unit.
  - Test its lead.

Often confused with: lamp-wrong

Sources: common practice, no
source
"""


def test_the_sample_reads_top_down_with_danger_first(sample: str) -> None:
    assert render.to_text(parse.entry_from(sample), 31) == SHOWN


@pytest.mark.parametrize("width", [-1, 30, 80, 200])
def test_lines_keep_within_the_width(sample: str, width: int) -> None:
    lines = render.to_text(parse.entry_from(sample), width).splitlines()
    assert max(map(len, lines)) <= max(width, 30)


def test_marks_of_markdown_are_not_shown(sample: str) -> None:
    entry = dataclasses.replace(
        parse.entry_from(sample), first_acts=Section(("*now*",), ("Press `F 1`", "# 3"))
    )
    shown = render.to_text(entry)
    assert "  CAUTION: now\n  1. Press F 1\n  2. # 3\n" in shown
