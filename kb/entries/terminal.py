"""The blocks of an entry for a terminal: danger on top, then what to do in order."""

import textwrap
from collections.abc import Iterator

from kb.entries import spoken
from kb.entries.inline import inline_text
from kb.entries.model import Entry, Fix, Section
from kb.entries.words import AFTERWARDS, CAUTION, FIRST_ACTS, SEE, STOP

_INDENT = "  "


def blocks(entry: Entry, width: int) -> Iterator[list[str]]:
    """Yield blocks of lines; a blank line comes between them."""
    yield [*_wrapped(entry.title.upper(), width), entry.area]
    if not entry.first_acts.is_empty:
        yield [FIRST_ACTS.upper(), *_section(entry.first_acts, width)]
    for paragraph in entry.about:
        yield _wrapped(inline_text(paragraph), width)
    if entry.checks:
        yield ["LOOK FIRST", *_checks(entry, width)]
    for number, fix in enumerate(entry.fixes, start=1):
        yield [*_heading(f"FIX {number}", fix.title, width), *_fix(fix, entry, width)]
    if entry.swap:
        price = _wrapped(spoken.price(entry.swap), width, _INDENT)
        told = _section(entry.swap.section, width)
        yield [*_heading("SPARE", entry.swap.title, width), *price, *told]
    if not entry.afterwards.is_empty:
        yield [AFTERWARDS.upper(), *_section(entry.afterwards, width, numbered=False)]
    yield from _references(entry, width)


def _heading(mark: str, title: str, width: int) -> list[str]:
    return _wrapped(f"{mark}: {inline_text(title)}", width)


def _checks(entry: Entry, width: int) -> Iterator[str]:
    for check in entry.checks:
        yield from _item("-", f"{check.ask} ({spoken.price(check)})", width)


def _fix(fix: Fix, entry: Entry, width: int) -> Iterator[str]:
    keys = [other.key for other in entry.fixes]
    after = "".join(f", after fix {keys.index(key) + 1}" for key in fix.after)
    yield from _wrapped(spoken.price(fix) + after, width, _INDENT)
    yield from _section(fix.section, width)


def _section(section: Section, width: int, *, numbered: bool = True) -> Iterator[str]:
    """Yield a section's lines, cautions above the steps."""
    for caution in section.cautions:
        yield from _wrapped(f"{CAUTION.upper()} {inline_text(caution)}", width, _INDENT)
    for number, step in enumerate(section.steps, start=1):
        yield from _item(f"{number}." if numbered else "-", inline_text(step), width)
    for opening, text in ((SEE, section.see), (STOP, section.stop)):
        if text:
            yield from _wrapped(f"{opening} {inline_text(text)}", width, _INDENT)


def _references(entry: Entry, width: int) -> Iterator[list[str]]:
    if entry.confused_with:
        yield _wrapped(f"Often confused with: {', '.join(entry.confused_with)}", width)
    if entry.sources:
        yield _wrapped(f"Sources: {'; '.join(entry.sources)}", width)


def _item(mark: str, text: str, width: int) -> list[str]:
    """Return a list item whose later lines stand below its text, not below its mark."""
    hanging = " " * (len(_INDENT) + len(mark) + 1)
    return _wrapped(text, width, f"{_INDENT}{mark} ", hanging)


def _wrapped(text: str, width: int, first: str = "", later: str | None = None) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=first if later is None else later,
        break_long_words=False,
        break_on_hyphens=False,
    )
