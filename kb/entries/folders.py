"""Entries from and to a folder of Markdown files; a conflict is shown, never overwritten."""

import json
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from sqlmodel import Session, select

from kb.entries import glossary, library, lint, parse
from kb.entries.glossary import Word
from kb.entries.source import Finding
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem, StorageError
from kb.records import settings
from kb.records.kinds import EntryStatus
from kb.records.tables import entries as kept

# Beside the files: each slug's digest when file and base last said the same, so that an import
# can tell whose text is newer. Without it, a file that differs is a conflict unless it is an old
# revision.
STAND = ".exported.json"
_NO_ENTRY = frozenset({glossary.FILE, "README.md"})
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

    Once the unit of work is committed, `note_import` makes the next import know of this one.

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


def note_import(folder: Path, taken: Taken) -> None:
    """Note beside the files which of them say what the base says now.

    A folder that can't be written is left as it is: a later change of it may then be shown as a
    conflict.
    """
    agreed = {
        slug: library.digest(library.tidy(read_file(folder / f"{slug}.md")))
        for slug in (*taken.added, *taken.changed, *taken.same)
    }
    with suppress(StorageError):
        _keep_stand(folder, {**_stand(folder), **agreed})


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
        ConflictError: A file there holds what this base never held; nothing is written then.
        StorageError: The folder can't be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StorageError(f"{folder} can't be made: {error.strerror}.", folder) from error
    lines = [x for x in library.entry_lines(session) if x.status != EntryStatus.WITHDRAWN]
    revised = {
        folder / f"{line.slug}.md": [one.text for one in library.revisions(session, line.slug)]
        for line in lines
    }
    _require_known(folder, revised)
    for path, texts in revised.items():
        settings.write_whole(path, texts[-1].encode())
    _keep_stand(folder, {path.stem: library.digest(texts[-1]) for path, texts in revised.items()})
    return list(revised)


def lint_folder(folder: Path, known: frozenset[str] = frozenset()) -> Iterator[str]:
    """Yield 'file:line: what is wrong and the mend' for everything found in a folder.

    Args:
        folder: Where the Markdown files lie.
        known: Slugs that exist elsewhere; those of the folder are known anyway.

    Raises:
        NotFoundError: There is no such folder, or no entry in it.
    """
    texts = {path: read_file(path) for path in _files(folder)}
    everybody = known | {path.stem for path in texts}
    anchors = [word.anchor for word in words(folder)]
    for path, text in texts.items():
        found = [*lint.lint(text, everybody), *_misnamed(path, text)]
        found += glossary.lost_links(text, anchors)
        yield from (f"{path}:{one.line}: {one.message}" for one in found)
    path = folder / glossary.FILE
    if path.is_file():
        read = (entry for text in texts.values() if (entry := parse.parse(text).entry))
        yield from (
            f"{path}:{one.line}: {one.message}" for one in glossary.lint(read_file(path), read)
        )


def words(folder: Path) -> tuple[Word, ...]:
    """Return the words that a folder's glossary explains; none where it has no glossary.

    Raises:
        InvalidError: The glossary is too long, or isn't UTF-8.
        StorageError: It can't be read.
    """
    path = folder / glossary.FILE
    return glossary.read(library.tidy(read_file(path))) if path.is_file() else ()


def slugs(folder: Path) -> frozenset[str]:
    """Return the slugs of a folder's entries, by the names of their files.

    Raises:
        NotFoundError: There is no such folder, or no entry in it.
    """
    return frozenset(path.stem for path in _files(folder))


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
    elif new == library.newest(session, row).digest:
        row.starter_digest = new
        taken.same.append(slug)
    elif new == row.starter_digest:
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
    texts = {path: library.tidy(read_file(path)) for path in _files(folder)}
    problems = [
        Problem(f"{path}:{one.line}", one.message)
        for path, text in texts.items()
        for one in (*parse.parse(text).findings, *_misnamed(path, text))
    ]
    if problems:
        raise InvalidError(problems)
    return {path.stem: text for path, text in texts.items()}


def _misnamed(path: Path, text: str) -> Iterator[Finding]:
    """Find a slug that isn't the file's name."""
    entry = parse.parse(text).entry
    if entry is not None and entry.slug != path.stem:
        lines = text.splitlines()
        number = next((n for n, line in enumerate(lines, 1) if line.startswith("slug:")), 2)
        yield Finding(number, f"the slug isn't the file's name. Write 'slug: {path.stem}'.")


def _require_known(folder: Path, revised: Mapping[Path, Collection[str]]) -> None:
    """Refuse to write over files that hold what the base never held.

    Raises:
        ConflictError: Naming the files.
    """
    unknown = [
        path.name
        for path, texts in revised.items()
        if path.exists() and library.tidy(read_file(path)) not in texts
    ]
    if unknown:
        raise ConflictError(
            f"{folder} holds changes that this base doesn't know: {', '.join(unknown)}. Nothing "
            "was written. Import them first, or name another folder."
        )


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


def _keep_stand(folder: Path, stand: Mapping[str, str]) -> None:
    settings.write_whole(folder / STAND, json.dumps(stand, indent=1).encode())
