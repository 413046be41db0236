"""What stands on an entry's paper, in the order of reading: danger on top, then what to do."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from kb.entries import spoken
from kb.entries.inline import inline_text
from kb.entries.model import Entry, Fix, Section, Swap
from kb.entries.words import AFTERWARDS, CAUTION, FIRST_ACTS, SEE, STOP, SWAP_KEY

_HEADING, _SMALL = 1.15, 0.85
_STEP = 6.0
_CAUTION_BAR, _FIRST_BAR = 0.8, 2.0
_BULLET = "\u2022"


@dataclass(frozen=True)
class Block:
    """A paragraph or an item of a list.

    Attributes:
        runs: Its texts, each with whether it's bold.
        size: Its type, as a share of the page's.
        mark: What stands before the text of an item: a number or a bullet.
        indent: How far in from the left it stands, in millimetres.
        space: The room above it, in lines.
        bar: How wide a bar runs down its left side, in millimetres.
        glued: Whether the next one must stand on the same page.
    """

    runs: tuple[tuple[str, bool], ...]
    size: float = 1.0
    mark: str = ""
    indent: float = 0.0
    space: float = 0.0
    bar: float = 0.0
    glued: bool = False


@dataclass(frozen=True)
class Paper:
    """One entry, and what is told beside it.

    Attributes:
        entry: The entry.
        status: A word where it isn't accepted; else empty.
        revision: Which revision of its text, and of what day.
        evidence: What was tried here, in words, by the key of the fix.
        near: The titles of entries that it's confused with.
    """

    entry: Entry
    status: str
    revision: str
    evidence: Mapping[str, str]
    near: tuple[str, ...]


Group = tuple[Block, ...]


def groups(paper: Paper) -> Iterator[Group]:
    """Yield what belongs together: sections of the entry, each best kept on one page."""
    entry = paper.entry
    if not entry.first_acts.is_empty:
        yield _first(entry.first_acts)
    for text in entry.about:
        yield (Block(((inline_text(text), False),), space=0.5),)
    if entry.checks:
        asked = (f"{check.ask} ({spoken.price(check)})" for check in entry.checks)
        yield _listed("Look first", asked)
    for number, fix in enumerate(entry.fixes, start=1):
        yield _act(f"{number}", fix, paper.evidence.get(fix.key, ""), entry)
    if entry.swap:
        yield _act("Spare", entry.swap, paper.evidence.get(SWAP_KEY, ""), entry)
    if not entry.afterwards.is_empty:
        yield _kept((_title(AFTERWARDS), *_section(entry.afterwards, numbered=False)))
    yield _references(paper)


def _first(section: Section) -> Group:
    """Return the first acts, which never part and have the widest bar."""
    told = (_title(FIRST_ACTS), *_section(section))
    return tuple(replace(block, bar=_FIRST_BAR, glued=block is not told[-1]) for block in told)


def _act(mark: str, act: Fix | Swap, evidence: str, entry: Entry) -> Group:
    """Return a fix or the swap: what it costs, what was seen of it here, and how it's done."""
    keys = [fix.key for fix in entry.fixes]
    after = [f"after {keys.index(key) + 1}" for key in act.after] if isinstance(act, Fix) else []
    price = ", ".join([spoken.price(act), *after])
    told = "; ".join(part for part in (price, evidence) if part)
    title = _title(f"{mark}.  {inline_text(act.title)}")
    small = Block(((told, False),), size=_SMALL, glued=True)
    return _kept((title, small, *_section(act.section)))


def _section(section: Section, *, numbered: bool = True) -> Iterator[Block]:
    for text in section.cautions:
        runs = ((CAUTION, True), (inline_text(text), False))
        yield Block(runs, space=0.3, bar=_CAUTION_BAR, glued=True)
    for number, text in enumerate(section.steps, start=1):
        mark = f"{number}." if numbered else _BULLET
        yield Block(((inline_text(text), False),), mark=mark, indent=_STEP, space=0.15)
    for opening, text in ((SEE, section.see), (STOP, section.stop)):
        if text:
            yield Block(((opening, True), (inline_text(text), False)), space=0.15)


def _kept(blocks: Group) -> Group:
    """Return a section whose first step stays with its heading, and whose last with its end."""
    steps = [number for number, block in enumerate(blocks) if block.mark]
    stuck = {steps[0], steps[-1]} if steps else set()
    last = len(blocks) - 1
    return tuple(
        replace(block, glued=number < last and (block.glued or number in stuck))
        for number, block in enumerate(blocks)
    )


def _listed(title: str, texts: Iterator[str]) -> Group:
    items = (Block(((text, False),), mark=_BULLET, indent=_STEP, space=0.15) for text in texts)
    return _kept((_title(title), *items))


def _title(text: str) -> Block:
    return Block(((text, True),), size=_HEADING, space=0.8, glued=True)


def _references(paper: Paper) -> Group:
    told = (
        ("It may also be:", "; ".join(paper.near)),
        ("Where it comes from:", "; ".join(paper.entry.sources)),
    )
    return tuple(
        Block(((opening, True), (text, False)), size=_SMALL, space=0.4)
        for opening, text in told
        if text
    )
