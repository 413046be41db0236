"""The front matter of an entry: from YAML nodes to what is computed with, every slip noted.

Where something is wrong a placeholder stands in its place and a finding tells of it, so that
one reading names everything; the entry is not handed out then.
"""

from collections.abc import Callable, Iterator
from typing import TypeVar

from kb import trade
from kb.entries import fields, nodes
from kb.entries.model import Cause, Chances, Check, Entry, Fix, Swap
from kb.entries.nodes import Node, Scalar, Table
from kb.entries.source import Notes
from kb.entries.words import SWAP_KEY, Area, Chance, Disruption, Likely

KEYS = (
    "slug",
    "title",
    "area",
    "classes",
    "symptoms",
    "causes",
    "checks",
    "fixes",
    "swap",
    "confused with",
    "sources",
)
_NEEDED = ("slug", "title", "area", "symptoms", "fixes")
_CHECK_KEYS = ("key", "ask", "takes", "yes if")
_FIX_KEYS = ("key", "takes", "at worst", "disruption", "cures", "after")
_SWAP_KEYS = ("takes", "at worst", "cures")

KeyedT = TypeVar("KeyedT", Check, Fix)


def read(text: str, first_line: int, notes: Notes) -> Entry:
    """Return the entry without its body; it holds placeholders where findings were noted.

    Args:
        text: What stands between the two lines of dashes.
        first_line: The file's line on which it begins.
        notes: Takes the findings and the lines.
    """
    node = nodes.read(text, first_line, notes)
    if node is None and notes.findings:
        return _entry({}, notes)
    if isinstance(node, Table):
        notes.lines.update({(name.text,): name.line for name, _value in node.pairs})
    values = fields.values(node, "the front matter", KEYS, _NEEDED, notes, first_line)
    return _entry(values, notes)


def _entry(values: dict[str, Node], notes: Notes) -> Entry:
    causes = _causes(values.get("causes"), notes)
    known = tuple(cause.name for cause in causes)
    return Entry(
        slug=fields.key(values.get("slug"), notes),
        title=fields.line(values.get("title"), notes),
        area=fields.word(values.get("area"), Area, Area.DISPLAYS, notes),
        classes=_classes(values.get("classes"), notes),
        symptoms=fields.lines(values.get("symptoms"), notes, "symptoms"),
        causes=causes,
        checks=_keyed(values.get("checks"), "checks", _check, known, notes),
        fixes=_fixes(values.get("fixes"), known, notes),
        swap=_swap(values.get("swap"), known, notes),
        confused_with=fields.keys(values.get("confused with"), notes, "confused with"),
        sources=fields.lines(values.get("sources"), notes, "sources"),
    )


def _classes(node: Node | None, notes: Notes) -> tuple[str, ...]:
    names = fields.keys(node, notes, "classes")
    for name in names:
        if name not in trade.CLASSES:
            known = ", ".join(trade.CLASSES)
            notes.find(
                notes.lines["classes", name], f"no such class '{name}'. Known are: {known}."
            )
    return names


def _causes(node: Node | None, notes: Notes) -> tuple[Cause, ...]:
    pairs = fields.words(node, Likely, Likely.SOMETIMES, notes)
    return tuple(Cause(name, likely) for name, likely in pairs)


def _chances(node: Node | None, known: tuple[str, ...], notes: Notes) -> Chances:
    """Return how often, a cause each; a cause that isn't listed is noted."""
    pairs = fields.words(node, Chance, Chance.HALF, notes)
    for name, _chance in pairs:
        if name not in known:
            listed = ", ".join(known) or "none"
            line = node.line if node else 1
            notes.find(line, f"no such cause '{name}'. Known are: {listed}.")
    return pairs


def _keyed(
    node: Node | None,
    name: str,
    make: Callable[[Table, tuple[str, ...], Notes], KeyedT],
    known: tuple[str, ...],
    notes: Notes,
) -> tuple[KeyedT, ...]:
    """Return what a list of tables holds; a key that comes twice is noted."""
    made: list[KeyedT] = []
    seen: set[str] = set()
    for table in _tables(node, name, notes):
        record = make(table, known, notes)
        if record.key in seen:
            notes.find(table.line, f"'{record.key}' comes twice in '{name}'. Rename one of them.")
        seen.add(record.key)
        notes.lines[name, record.key] = table.line
        made.append(record)
    return tuple(made)


def _tables(node: Node | None, name: str, notes: Notes) -> Iterator[Table]:
    for item in fields.items(node, name, notes):
        if isinstance(item, Table):
            yield item
        else:
            notes.find(item.line, f"'{name}' lists {{key: ..., takes: ...}}. Write it so.")


def _check(table: Table, known: tuple[str, ...], notes: Notes) -> Check:
    values = fields.values(table, "a check", _CHECK_KEYS, _CHECK_KEYS, notes)
    return Check(
        key=fields.key(values.get("key"), notes),
        ask=fields.line(values.get("ask"), notes),
        takes_s=fields.duration(values.get("takes"), notes),
        yes_if=_chances(values.get("yes if"), known, notes),
    )


def _fixes(node: Node | None, known: tuple[str, ...], notes: Notes) -> tuple[Fix, ...]:
    fixes = _keyed(node, "fixes", _fix, known, notes)
    earlier: set[str] = set()
    for fix in fixes:
        for key in fix.after:
            if key not in earlier:
                notes.find(
                    notes.lines["fixes", fix.key],
                    f"'after: {key}' names no fix above it. Name one, or move this fix below.",
                )
        earlier.add(fix.key)
    return fixes


def _fix(table: Table, known: tuple[str, ...], notes: Notes) -> Fix:
    values = fields.values(table, "a fix", _FIX_KEYS, ("key", "takes", "disruption"), notes)
    key = fields.key(values.get("key"), notes)
    if key == SWAP_KEY:
        notes.find(table.line, f"'{SWAP_KEY}' is the key of the swap. Give the fix another.")
    takes, worst = _takes(values, notes)
    return Fix(
        key=key,
        title="",
        takes_s=takes,
        at_worst_s=worst,
        disruption=fields.word(values.get("disruption"), Disruption, Disruption.NONE, notes),
        cures=_chances(values.get("cures"), known, notes),
        after=_after(values.get("after"), notes),
    )


def _takes(values: dict[str, Node], notes: Notes) -> tuple[int, int | None]:
    """Return how long it takes and how long at worst, in seconds."""
    takes = fields.duration(values.get("takes"), notes)
    node = values.get("at worst")
    worst = fields.duration(node, notes) if node else None
    if node and worst is not None and worst < takes:
        notes.find(node.line, "'at worst' is shorter than 'takes'. Make it longer, or drop it.")
    return takes, worst


def _after(node: Node | None, notes: Notes) -> tuple[str, ...]:
    """Return the keys of one fix or of a list of them."""
    return (
        (fields.key(node, notes),)
        if isinstance(node, Scalar)
        else fields.keys(node, notes, "after")
    )


def _swap(node: Node | None, known: tuple[str, ...], notes: Notes) -> Swap | None:
    if node is None:
        return None
    values = fields.values(node, "the swap", _SWAP_KEYS, ("takes",), notes)
    takes, worst = _takes(values, notes)
    return Swap("", takes, worst, _chances(values.get("cures"), known, notes))
