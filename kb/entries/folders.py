"""Entries from and to a folder of Markdown files; a conflict is shown, never overwritten."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from sqlmodel import Session, select

from kb.entries import library, lint, parse
from kb.errors import InvalidError, NotFoundError, Problem, StorageError
from kb.records import settings
from kb.records.kinds import EntryStatus
from kb.records.tables import entries as kept

# Beside exported files: each slug's digest at that time, so that an import can tell whose
# text is newer. Without it, a file that differs is a conflict unless it is an old revision.
STAND = ".exported.json"
_NO_ENTRY = frozenset({"glossary.md", "README.md"})
FILE_LIMIT = 1_000_000


@dataclass
class Taken:
    """What became of the files of a folder, as lists of slugs.

    Attributes:
        added: New entries.
        changed: Entries that got a new revision.
        same: Files that say what the base says.
        older: Files that hold an earlier revision; the base keeps its own.
        withdrawn: Entries that the crew withdrew; they don't come back.
        conflicts: Entries changed on both sides; the base keeps its own.
    """

    added: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)
    same: list[str] = field(default_factory=list)
    older: list[str] = field(default_factory=list)
    withdrawn: list[str] = field(default_factory=list)
    conflicts: list[str] = field(default_factory=list)


def import_folder(session: Session, folder: Path, at: datetime) -> Taken:
    """Take in every entry of a folder, or none where one of them is broken.

    Args:
        session: The unit of work.
        folder: Where the Markdown files lie.
        at: When.

    Raises:
        InvalidError: Naming file, line and mend of everything that is broken.
        NotFoundError: There is no such folder, or no entry in it.
    """
    stand = _stand(folder)
    taken = Taken()
    for slug, text in _checked(folder).items():
        _import(session, slug, text, stand.get(slug), at, taken)
    return taken


def merge_starter(session: Session, folder: Path, at: datetime) -> Taken:
    """Take in the shipped base: new and untouched entries follow it, the crew's own edits stay.

    Raises:
        InvalidError: Naming file, line and mend of everything that is broken.
        NotFoundError: There is no such folder, or no entry in it.
    """
    taken = Taken()
    for slug, text in _checked(folder).items():
        _merge(session, slug, text, at, taken)
    return taken


def export_folder(session: Session, folder: Path) -> list[Path]:
    """Write every entry that isn't withdrawn as a file, and return the files.

    Raises:
        StorageError: The folder can't be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StorageError(f"{folder} can't be made: {error.strerror}.", folder) from error
    lines = [x for x in library.entry_lines(session) if x.status != EntryStatus.WITHDRAWN]
    stand: dict[str, str] = {}
    written = []
    for line in lines:
        text = library.newest(session, library.entry_by(session, line.slug)).text
        stand[line.slug] = library.digest(text)
        path = folder / f"{line.slug}.md"
        settings.write_whole(path, text.encode())
        written.append(path)
    settings.write_whole(folder / STAND, json.dumps(stand, indent=1).encode())
    return written


def lint_folder(folder: Path, known: frozenset[str] = frozenset()) -> Iterator[str]:
    """Yield 'file:line: what is wrong and the mend' for everything found in a folder.

    Args:
        folder: Where the Markdown files lie.
        known: Slugs that exist elsewhere; those of the folder are known anyway.

    Raises:
        NotFoundError: There is no such folder, or no entry in it.
    """
    files = _files(folder)
    slugs = known | {path.stem for path in files}
    for path in files:
        text = read_file(path)
        yield from (f"{path}:{one.line}: {one.message}" for one in lint.lint(text, slugs))
        if f"\nslug: {path.stem}\n" not in text[:2000]:
            yield f"{path}:2: the slug isn't the file's name. Write 'slug: {path.stem}'."


def read_file(path: Path) -> str:
    """Return the text of an entry's file.

    Raises:
        InvalidError: It's too long, or isn't UTF-8; the line is named.
        StorageError: It can't be read.
    """
    try:
        content = path.read_bytes()
        if len(content) > FILE_LIMIT:
            raise InvalidError(
                [Problem(str(path), f"{len(content):,} bytes are too many for an entry.")]
            )
        return content.decode()
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        raise InvalidError(
            [Problem(f"{path}:{line}", "it isn't UTF-8. Save the file as UTF-8.")]
        ) from None
    except OSError as error:
        raise StorageError(f"{path} can't be read: {error.strerror}.", path) from error


def _import(
    session: Session, slug: str, text: str, exported: str | None, at: datetime, taken: Taken
) -> None:
    row = session.scalars(select(kept.Entry).where(kept.Entry.slug == slug)).first()
    if row is None:
        library.save_entry(session, text, at, "imported")
        taken.added.append(slug)
        return
    now = library.newest(session, row).digest
    earlier = {library.digest(one.text) for one in library.revisions(session, slug)}
    if library.digest(text) == now:
        taken.same.append(slug)
    elif row.status == EntryStatus.WITHDRAWN:
        taken.withdrawn.append(slug)
    elif exported == now:
        library.save_entry(session, text, at, "imported")
        taken.changed.append(slug)
    elif library.digest(text) in earlier:
        taken.older.append(slug)
    else:
        taken.conflicts.append(slug)


def _merge(session: Session, slug: str, text: str, at: datetime, taken: Taken) -> None:
    row = session.scalars(select(kept.Entry).where(kept.Entry.slug == slug)).first()
    new = library.digest(text)
    if row is None:
        library.save_entry(session, text, at, "starter base")
        library.entry_by(session, slug).starter_digest = new
        taken.added.append(slug)
    elif row.status == EntryStatus.WITHDRAWN:
        taken.withdrawn.append(slug)
    elif new in (row.starter_digest, library.newest(session, row).digest):
        taken.same.append(slug)
    elif library.newest(session, row).digest == row.starter_digest:
        library.save_entry(session, text, at, "newer starter base")
        row.starter_digest = new
        taken.changed.append(slug)
    else:
        taken.conflicts.append(slug)
    session.flush()


def _checked(folder: Path) -> dict[str, str]:
    """Return slug -> text of a folder's entries, once all of them can be read."""
    texts = {path: read_file(path) for path in _files(folder)}
    problems = [
        Problem(f"{path}:{one.line}", one.message)
        for path, text in texts.items()
        for one in parse.parse(text).findings
    ]
    if problems:
        raise InvalidError(problems)
    return {path.stem: text for path, text in texts.items()}


def _files(folder: Path) -> list[Path]:
    found = sorted(folder.glob("*.md")) if folder.is_dir() else []
    files = [path for path in found if path.name not in _NO_ENTRY]
    if not files:
        raise NotFoundError("entry in", str(folder), "Name a folder that holds NAME.md files.")
    return files


def _stand(folder: Path) -> Mapping[str, str]:
    path = folder / STAND
    if not path.is_file():
        return {}
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
