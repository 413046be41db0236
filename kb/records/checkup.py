"""Look whether a workspace is sound: files, settings, database, room on the disk."""

import shutil
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import select

from kb.errors import InvalidError
from kb.records import disk, failures, revision, session, soundness
from kb.records import settings as setting_file
from kb.records.settings import Settings
from kb.records.tables.journal import Base
from kb.records.workspace import Workspace

_LITTLE_ROOM = 200 * 1024 * 1024


@dataclass(frozen=True)
class Finding:
    """What isn't as it should be.

    Attributes:
        sentence: What it is and how to mend it.
        damage: Whether something is broken; otherwise it's only good to know.
    """

    sentence: str
    damage: bool

    def __str__(self) -> str:
        """Return the sentence."""
        return self.sentence


def check(folder: Path) -> tuple[Finding, ...]:
    """Return what isn't as it should be in a workspace; nothing is changed.

    Args:
        folder: The workspace's folder; its settings may be damaged, too.

    Raises:
        BusyError: Somebody holds the database for himself.
        StorageError: The database can't be opened or reached, so it can't be said.
    """
    wrong, place = _settings(folder.resolve())
    return (*wrong, *_folders(place), *_room(place), *_base(place))


def _settings(folder: Path) -> tuple[list[Finding], Workspace]:
    try:
        return [], Workspace(folder, setting_file.load(folder))
    except InvalidError as error:
        wrong = [Finding(problem, damage=True) for problem in error.message.splitlines()]
        return wrong, Workspace(folder, Settings())


def _folders(place: Workspace) -> list[Finding]:
    missing = (
        f"The folder {place.uploads} is missing, and the pictures with it. 'kitlore restore' "
        "brings back the last backup."
    )
    cut_off = "was left by a backup or a restore that was cut off. If it was a restore, run it "
    left = (*disk.leftovers(place.folder), *disk.leftovers(place.backups))
    return [
        *([] if place.uploads.is_dir() else [Finding(missing, damage=True)]),
        *(Finding(f"{one} {cut_off}again; then delete the folder.", damage=False) for one in left),
    ]


def _room(place: Workspace) -> list[Finding]:
    size = place.database.stat().st_size if place.database.is_file() else 0
    free = shutil.disk_usage(place.folder).free
    # A backup needs the room three times: the copy, the zip, and what is unpacked to verify it.
    if free >= max(_LITTLE_ROOM, 3 * size):
        return []
    told = f"Only {disk.megabytes(free)} are free on the disk of {place.folder}. Make room."
    return [Finding(told, damage=False)]


def _base(place: Workspace) -> list[Finding]:
    if place.settings.database is None:
        if not place.database.is_file():
            told = f"{place.database} is missing. Bring back a backup with 'kitlore restore'."
            return [Finding(told, damage=True)]
        broken = soundness.of_file(place.database)
        if broken:
            return [Finding(sentence, damage=True) for sentence in broken]
    engine = session.engine_for(place.url)
    try:
        return _schema(engine)
    finally:
        engine.dispose()


def _schema(engine: Engine) -> list[Finding]:
    with failures.translated(engine.url), session.connect_to_read(engine) as connection:
        found = revision.current(connection)
        marks = [] if found is None else list(connection.scalars(select(Base.mark)))
    if found is None or len(marks) != 1:
        lacks = "holds no base of Kitlore" if found is None else "is damaged: its base has no mark"
        told = f"{engine.url.render_as_string()} {lacks}. Bring back a backup."
        return [Finding(told, damage=True)]
    if found == revision.head():
        return []
    if found in revision.known():
        told = f"The base has the older schema {found}; the next command brings it up to date."
    else:
        told = (
            f"The base was written by a newer kitlore (schema {found}; this program knows "
            f"{revision.head()}). Bring this program up to date."
        )
    return [Finding(told, damage=False)]
