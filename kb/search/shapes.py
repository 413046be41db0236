"""The document of an entry, an item or a fault: what is searched in it, and what is shown."""

from collections.abc import Iterable, Mapping

from kb.entries import parse
from kb.entries.model import Entry, Fix, Section, Swap
from kb.entries.outcomes import Evidence
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model
from kb.search import thesaurus, traits
from kb.search.documents import JSON, Document

SWAP = "swap"
_TITLE_LENGTH = 80


def of_entry(text: str, behind: Mapping[str, Evidence], reported: Iterable[str] = ()) -> Document:
    """Return the document of an entry.

    Args:
        text: Its Markdown, as kept.
        behind: The evidence behind each fix, by key.
        reported: What people typed when this was the answer.
    """
    entry = parse.entry_from(text)
    fixes = [*entry.fixes, *((entry.swap,) if entry.swap else ())]
    sections = [entry.first_acts, *(fix.section for fix in fixes), entry.afterwards]
    return Document(
        kind="entry",
        key=entry.slug,
        title=entry.title,
        parts={
            "title": entry.title,
            "symptoms": "\n".join(entry.symptoms),
            "reported": "\n".join(" ".join(line.split()) for line in reported),
            "class": " ".join(entry.classes),
            "area": entry.area,
            "causes": "\n".join(entry.cause_names),
            "checks": "\n".join(check.ask for check in entry.checks),
            "fixes": "\n".join(fix.title for fix in fixes),
            "steps": "\n".join(line for one in sections for line in (*one.steps, one.see)),
        },
        exact=(entry.slug, entry.title),
        stored=_stored(entry, behind),
    )


def of_word(number: int, word: str, means: str) -> Document:
    """Return the document of a word of the crew's own.

    Args:
        number: Its number.
        word: As they say it.
        means: The same in words that entries hold.
    """
    stored: dict[str, JSON] = {"phrase": thesaurus.phrase_of(word), "means": means}
    return Document("word", str(number), word, {"note": "word"}, (), stored)


def of_item(item: Item, model: Model | None, place: str, codes: Iterable[str]) -> Document:
    """Return the document of an item.

    Args:
        item: The item.
        model: Its model, if it has one.
        place: The path of its place.
        codes: Every code that leads to it.
    """
    made = f"{model.maker} {model.name}" if model else ""
    kind = (model.equipment_class or "") if model else ""
    return Document(
        kind="item",
        key=item.code,
        title=f"{item.name} ({made})" if made else item.name,
        parts={
            "item": item.name,
            "model": made,
            "class": kind,
            "place": place.replace("/", " "),
            "note": item.note or "",
        },
        exact=(*codes, item.name, item.serial or ""),
        stored={
            "code": item.code,
            "name": item.name,
            "model": made,
            "class": kind,
            "state": item.state,
            "place": place,
        },
    )


def of_fault(fault: Fault, name: str, code: str, entry: str, place: str) -> Document:
    """Return the document of a fault.

    Args:
        fault: The fault.
        name: Name of the item that it was seen on; empty where none is known.
        code: That item's code.
        entry: Slug of the entry that fits; empty where none was named.
        place: Path of the place where it was seen.
    """
    line = " ".join(fault.text.split())
    short = line if len(line) <= _TITLE_LENGTH else line[: _TITLE_LENGTH - 1] + "…"
    return Document(
        kind="fault",
        key=str(fault.key),
        title=short,
        parts={
            "text": fault.text,
            "item": name,
            "place": place.replace("/", " "),
            "note": fault.cause_note or "",
        },
        exact=(),
        stored={
            "number": fault.key,
            "noticed_at": fault.noticed_at.isoformat(),
            "restored": fault.restored_at is not None,
            "item": name,
            "code": code,
            "place": place,
            "entry": entry,
            "cause": fault.cause_note or "",
        },
    )


def _stored(entry: Entry, behind: Mapping[str, Evidence]) -> dict[str, JSON]:
    fixes: list[JSON] = [_fix(fix, behind.get(fix.key, Evidence())) for fix in entry.fixes]
    return {
        "slug": entry.slug,
        "area": entry.area,
        "classes": list(entry.classes),
        "traits": {name: dict(kinds) for name, kinds in traits.counted(entry.symptoms).items()},
        "first_acts": _section(entry.first_acts),
        "fixes": fixes,
        "swap": _swap(entry.swap, behind.get(SWAP, Evidence())) if entry.swap else None,
        "afterwards": _section(entry.afterwards),
    }


def _fix(fix: Fix, behind: Evidence) -> dict[str, JSON]:
    return {
        "key": fix.key,
        "title": fix.title,
        "takes_s": fix.takes_s,
        "at_worst_s": fix.worst_s,
        "disruption": fix.disruption.value,
        "evidence": _evidence(behind),
        **_section(fix.section),
    }


def _swap(swap: Swap, behind: Evidence) -> dict[str, JSON]:
    return {
        "key": SWAP,
        "title": swap.title,
        "takes_s": swap.takes_s,
        "evidence": _evidence(behind),
        **_section(swap.section),
    }


def _section(section: Section) -> dict[str, JSON]:
    return {
        "cautions": list(section.cautions),
        "steps": list(section.steps),
        "see": section.see,
        "stop": section.stop,
    }


def _evidence(behind: Evidence) -> dict[str, JSON]:
    return {
        "tried": behind.tried,
        "worked": behind.worked,
        "pending": [end.isoformat() for end in behind.pending],
        "last_on": behind.last_on.isoformat() if behind.last_on else None,
    }
