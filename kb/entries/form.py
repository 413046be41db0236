"""The file of an entry in house form: the lines of its front matter, the blocks of its body."""

from collections.abc import Iterable, Iterator

from kb.entries import nodes, wording
from kb.entries.model import Chances, Check, Entry, Fix, Section, Swap
from kb.entries.words import AFTERWARDS, CAUTION, FIRST_ACTS, SEE, STOP, SWAP_KEY


def front(entry: Entry) -> Iterator[str]:
    """Yield the lines of the front matter and of the dashes; what is empty is left out."""
    yield "---"
    yield f"slug: {_block(entry.slug)}"
    yield f"title: {_block(entry.title)}"
    yield f"area: {_block(entry.area)}"
    if entry.classes:
        yield f"classes: {_listed(entry.classes)}"
    yield "symptoms:"
    yield from (f"  - {_block(symptom)}" for symptom in entry.symptoms)
    if entry.causes:
        yield f"causes: {_table((cause.name, _flow(cause.likely)) for cause in entry.causes)}"
    if entry.checks:
        yield "checks:"
        yield from (f"  - {_table(_check(check))}" for check in entry.checks)
    yield "fixes:"
    yield from (f"  - {_table(_fix(fix))}" for fix in entry.fixes)
    if entry.swap:
        yield f"swap: {_table(_swap(entry.swap))}"
    if entry.confused_with:
        yield f"confused with: {_listed(entry.confused_with)}"
    if entry.sources:
        yield f"sources: {_listed(entry.sources)}"
    yield "---"


def body(entry: Entry) -> Iterator[str]:
    """Yield the blocks of the body; a blank line comes between them."""
    yield from map(wording.guarded, entry.about)
    if not entry.first_acts.is_empty:
        yield f"## {FIRST_ACTS}"
        yield from _section(entry.first_acts)
    for fix in entry.fixes:
        yield f"## {fix.title} {{#{fix.key}}}"
        yield from _section(fix.section)
    if entry.swap:
        yield f"## {entry.swap.title} {{#{SWAP_KEY}}}"
        yield from _section(entry.swap.section)
    if not entry.afterwards.is_empty:
        yield f"## {AFTERWARDS}"
        yield from _section(entry.afterwards, numbered=False)


def duration(seconds: int) -> str:
    """Return a duration as the file writes it: '20s' or '3min'."""
    return f"{seconds}s" if seconds % 60 else f"{seconds // 60}min"


def _block(text: str) -> str:
    return nodes.quoted(text, flow=False)


def _flow(text: str) -> str:
    return nodes.quoted(text, flow=True)


def _listed(texts: Iterable[str]) -> str:
    return f"[{', '.join(map(_flow, texts))}]"


def _table(pairs: Iterable[tuple[str, str]]) -> str:
    """Return a table on one line from names and written values."""
    return f"{{{', '.join(f'{_flow(name)}: {value}' for name, value in pairs)}}}"


def _chances(chances: Chances) -> str:
    return _table((cause, _flow(chance)) for cause, chance in chances)


def _check(check: Check) -> Iterator[tuple[str, str]]:
    yield "key", _flow(check.key)
    yield "ask", _flow(check.ask)
    yield "takes", duration(check.takes_s)
    yield "yes if", _chances(check.yes_if)


def _fix(fix: Fix) -> Iterator[tuple[str, str]]:
    yield "key", _flow(fix.key)
    yield "takes", duration(fix.takes_s)
    if fix.at_worst_s is not None:
        yield "at worst", duration(fix.at_worst_s)
    yield "disruption", _flow(fix.disruption)
    if fix.cures:
        yield "cures", _chances(fix.cures)
    if fix.after:
        yield "after", _flow(fix.after[0]) if len(fix.after) == 1 else _listed(fix.after)


def _swap(swap: Swap) -> Iterator[tuple[str, str]]:
    yield "takes", duration(swap.takes_s)
    if swap.at_worst_s is not None:
        yield "at worst", duration(swap.at_worst_s)
    if swap.cures:
        yield "cures", _chances(swap.cures)


def _section(section: Section, *, numbered: bool = True) -> Iterator[str]:
    """Yield the blocks under a heading: cautions above the steps, as somebody reads them."""
    yield from (f"> {CAUTION} {caution}" for caution in section.cautions)
    if section.steps:
        marks = (f"{number}." if numbered else "-" for number in range(1, len(section.steps) + 1))
        yield "\n".join(
            f"{mark} {wording.guarded(step)}"
            for mark, step in zip(marks, section.steps, strict=True)
        )
    if section.see:
        yield f"{SEE} {section.see}"
    if section.stop:
        yield f"{STOP} {section.stop}"
