"""Bring back a backup: into a new folder, or over a workspace whose present state is kept.

Everything is verified, brought to this program's schema and given a new mark in a folder of its
own before anything is put in place, so that a file that is no good changes nothing.
"""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import URL, Engine, update

from kb.errors import InvalidError, StorageError
from kb.records import (
    archive,
    backup,
    creating,
    disk,
    failures,
    letting_in,
    migrate,
    revision,
    serving,
    session,
    soundness,
    transfer,
)
from kb.records import settings as setting_file
from kb.records import workspace as workspaces
from kb.records.settings import Settings
from kb.records.tables.journal import Base
from kb.records.workspace import Workspace

_LOGS = ("-wal", "-shm", "-journal")


@dataclass(frozen=True)
class Replaced:
    """The state that a backup was brought back over.

    Attributes:
        kept: Where it's kept: a backup too, or a folder of the files as they were found where
            these were damaged.
        all_ended: Whether nobody is let in any more, since it couldn't be told who was.
    """

    kept: Path
    all_ended: bool


def restore(
    path: Path, folder: Path, at: datetime, database: str | None = None
) -> Replaced | None:
    """Bring back a backup, and return what became of the state before; None for a new folder.

    Phones and scripts that were ended since the backup was made stay ended.

    Args:
        path: The backup.
        folder: A workspace, or a new or empty folder.
        at: The time now.
        database: For a new folder, the SQLAlchemy URL of an empty database on a server; None
            for a database in the folder.

    Raises:
        BusyError: A `serve` works on the workspace, or somebody else is writing.
        InvalidError: The file is a zip of something else.
        NotFoundError: There is no such file.
        StorageError: It's damaged or newer than this program, there's no room, or the place
            can't take it. Nothing was changed.
    """
    if not (folder / setting_file.FILE).is_file():
        _into_new(path, folder, database)
        return None
    place = _present(folder.resolve())
    if database is not None or place.settings.database is not None:
        raise StorageError(
            f"{folder} is a workspace, and a database on a server is never written over. Restore "
            "into a new folder and name an empty database.",
            folder,
        )
    serving.require_none(place, "Stop it, then try again.")
    with disk.staging(place.folder) as staging:
        _prepare(path, staging)
        kept = _keep(place, at)
        ended = letting_in.ended_in(place.database)
        with _one_file(staging / archive.DATABASE) as engine:
            letting_in.end(engine, ended, at)
        _put_in_place(staging, place)
    return Replaced(kept, all_ended=ended is None)


def _present(folder: Path) -> Workspace:
    """Return the workspace to restore over, whose settings may be damaged."""
    try:
        return workspaces.opened(folder)
    except InvalidError:
        return Workspace(folder, Settings())


def _into_new(path: Path, folder: Path, database: str | None) -> None:
    with ExitStack() as stack:
        engine = stack.enter_context(creating.emptied_on_failure(database)) if database else None
        made = stack.enter_context(workspaces.building(folder, Settings(database=database)))
        _prepare(path, made.folder)
        if engine is not None:
            _move_to_server(made, engine)
            restored = setting_file.load(made.folder)
            setting_file.save(made.folder, restored.model_copy(update={"database": database}))


def _prepare(path: Path, staging: Path) -> None:
    """Unpack a backup, verify all of it, and make its base one of this program and its own."""
    about = archive.unpack(path, staging).about
    if about.schema_revision not in revision.known():
        raise StorageError(
            f"{path} was made by a newer kitlore (schema {about.schema_revision}; this program "
            f"knows {revision.head()}). Nothing was changed. Bring this program up to date.",
            path,
        )
    base = staging / archive.DATABASE
    found = soundness.of_file(base)
    if found or (about.schema_revision, about.base) != backup.schema_and_mark(base):
        told = " ".join(found) or "Its base isn't the one that its manifest names."
        raise StorageError(f"{path} is damaged. Nothing was changed. {told}", path)
    try:
        setting_file.load(staging)
    except InvalidError as error:
        raise StorageError(
            f"{path} holds settings that can't be read. Nothing was changed. {error.message}", path
        ) from error
    _renew(base)


def _renew(base: Path) -> None:
    """Bring an unpacked base to this program's schema and mark it as a new one."""
    with _one_file(base) as engine:
        migrate.upgrade(engine)
        with failures.translated(engine.url), engine.begin() as connection:
            connection.execute(update(Base).values(mark=creating.new_mark()))


@contextmanager
def _one_file(base: Path) -> Iterator[Engine]:
    """Open a base that nobody else uses, and leave it as one file without a log beside it."""
    engine = session.engine_for(f"sqlite:///{base}")
    try:
        yield engine
    finally:
        engine.dispose()
    with failures.translated(engine.url), closing(sqlite3.connect(base)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")


def _move_to_server(made: Workspace, engine: Engine) -> None:
    migrate.upgrade(engine)
    with (
        _one_file(made.database) as embedded,
        failures.translated(engine.url),
        embedded.connect() as source,
        engine.begin() as target,
    ):
        transfer.copy_rows(source, target)
    made.database.unlink()


def _keep(place: Workspace, at: datetime) -> Path:
    """Keep the present state: as a backup, or file by file where it is damaged."""
    try:
        return backup.make(workspaces.opened(place.folder), at, occasion="before-restore")
    except (StorageError, InvalidError):
        return _keep_as_found(place, at)


def _keep_as_found(place: Workspace, at: datetime) -> Path:
    with disk.staging(place.backups) as staging, disk.refusals(place.folder, "kept aside"):
        kept = disk.free_path(place.backups, f"as-found-{at.astimezone(UTC):%Y-%m-%d-%H%M%SZ}")
        copy = staging / kept.name
        shutil.copytree(
            place.folder,
            copy,
            ignore=lambda _folder, names: {name for name in names if _is_left_out(name)},
        )
        copy.rename(kept)
    return kept


def _is_left_out(name: str) -> bool:
    return name in ("backups", "index") or name.startswith(".")


def _put_in_place(staging: Path, place: Workspace) -> None:
    """Exchange the parts; where one can't be, those before it are put back.

    The database comes last, in one transaction: it decides which state it is.
    """
    (staging / "uploads").mkdir(exist_ok=True)
    with disk.refusals(place.folder), ExitStack() as undo:
        for name in ("uploads", setting_file.FILE):
            _exchange(staging, place.folder, name, undo)
        _replace_base(staging / archive.DATABASE, place.database)
        undo.pop_all()
    # Its mark is not the new base's, so what can't be deleted is not believed either.
    shutil.rmtree(place.index, ignore_errors=True)


def _exchange(staging: Path, folder: Path, name: str, undo: ExitStack) -> None:
    present, aside = folder / name, staging / f"{name}.old"
    if present.is_file():
        shutil.copy2(present, aside)  # a workspace is never without its settings
        undo.callback(aside.replace, present)
    elif present.exists():
        present.rename(aside)
        undo.callback(aside.rename, present)
    fresh = staging / name
    fresh.replace(present)
    if present.is_dir():
        undo.callback(present.rename, fresh)


def _replace_base(fresh: Path, present: Path) -> None:
    """Write the base over the present one in one transaction, so that open connections see it.

    Only where the present file is no database any more is it exchanged.
    """
    try:
        with (
            closing(soundness.opened(fresh)) as source,
            closing(sqlite3.connect(present, timeout=0)) as target,
        ):
            backup.copy_file(source, target)
    except sqlite3.DatabaseError as error:
        if not soundness.is_damage(error):
            with failures.translated(URL.create("sqlite", database=str(present))):
                raise
        for log in _LOGS:  # an old log would be played into the new file
            present.with_name(f"{present.name}{log}").unlink(missing_ok=True)
        fresh.replace(present)
    disk.sync_folder(present.parent)
