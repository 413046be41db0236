"""The folder a crew works in: settings, database, uploads, the derived index, backups, a log."""

import secrets
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

from kb.errors import NotFoundError, StorageError
from kb.records import settings as setting_file
from kb.records.settings import Settings

VARIABLE = "KITLORE_WORKSPACE"
_FOLDERS = ("uploads", "backups")


@dataclass(frozen=True)
class Workspace:
    """One crew's folder and what lies where in it."""

    folder: Path
    settings: Settings

    @property
    def url(self) -> str:
        """The SQLAlchemy URL of the database."""
        return self.settings.database or f"sqlite:///{self.database}"

    @property
    def database(self) -> Path:
        """The embedded database's file."""
        return self.folder / "kitlore.db"

    @property
    def index(self) -> Path:
        """The derived search index: may be deleted at any time."""
        return self.folder / "index"

    @property
    def uploads(self) -> Path:
        """Pictures."""
        return self.folder / "uploads"

    @property
    def backups(self) -> Path:
        """Backup copies."""
        return self.folder / "backups"

    @property
    def log(self) -> Path:
        """Where a defect of ours leaves its trace."""
        return self.folder / "kitlore.log"

    def now(self, machine: datetime) -> datetime:
        """Return the time now; on a fixed day it is the machine's time of day on that day.

        Args:
            machine: The machine's time, aware.
        """
        if self.settings.today is None:
            return machine
        here = machine.astimezone(self.settings.timezone)
        return here.replace(
            year=self.settings.today.year,
            month=self.settings.today.month,
            day=self.settings.today.day,
            fold=0,
        ).astimezone(UTC)


def located(given: Path | None, start: Path, environment: Mapping[str, str]) -> Path:
    """Return the workspace's folder: the one given, else the variable's, else the nearest above.

    Args:
        given: What the person named, if they did.
        start: The current folder.
        environment: The process's variables; `KITLORE_WORKSPACE` is looked at.

    Raises:
        NotFoundError: There is none.
    """
    named = given or (Path(environment[VARIABLE]) if environment.get(VARIABLE) else None)
    if named is not None:
        return _required(named)
    for folder in (start, *start.parents):
        if (folder / setting_file.FILE).is_file():
            return folder
    raise NotFoundError(
        "workspace in or above",
        str(start),
        f"Name one with -w DIR or {VARIABLE}, or make one with 'kitlore init DIR'.",
    )


def opened(folder: Path) -> Workspace:
    """Return the workspace in a folder.

    Raises:
        InvalidError: The settings file is wrong.
        NotFoundError: The folder is no workspace.
    """
    return Workspace(_required(folder).resolve(), setting_file.load(folder))


@contextmanager
def building(folder: Path, settings: Settings) -> Iterator[Workspace]:
    """Make a workspace beside its place and put it there when all of it is done.

    A failure on the way leaves nothing behind.

    Args:
        folder: Where it shall be: missing or an empty folder.
        settings: Its settings.

    Raises:
        StorageError: There is something in the folder already, or it can't be written.
    """
    require_free(folder)
    place = folder.resolve()
    part = place.with_name(f".{place.name}.{secrets.token_hex(4)}.part")
    try:
        for name in _FOLDERS:
            (part / name).mkdir(parents=True)
        setting_file.save(part, settings)
        yield Workspace(part, settings)
        part.rename(place)
    except OSError as error:
        raise StorageError(
            f"{folder} can't be made: {error.strerror}. Nothing was left behind.", folder
        ) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def require_free(folder: Path) -> None:
    """Refuse a folder that holds something.

    Raises:
        StorageError: It's a file, a workspace, or not empty.
    """
    if (folder / setting_file.FILE).is_file():
        raise StorageError(f"{folder} is a workspace already. Nothing was changed.", folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise StorageError(f"{folder} isn't empty. Name a new or empty folder.", folder)


def _required(folder: Path) -> Path:
    if not (folder / setting_file.FILE).is_file():
        raise NotFoundError(
            "workspace", str(folder), "Make one there with 'kitlore init' or name another."
        )
    return folder


def starter(name: str) -> Path:
    """Return the folder of what is shipped: 'entries' or 'labels'.

    An installed wheel holds it in the package; in a checkout it lies at the top.
    """
    packed = Path(str(files("kb"))) / "starter" / name
    return packed if packed.is_dir() else Path(str(files("kb"))).parent / name
