"""The settings of a workspace: one TOML file, read strictly, written whole or not at all."""

import os
import tomllib
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

from pydantic import AfterValidator, Field

from kb.checking import Draft, Line, OptionalDay, OptionalLine, check
from kb.errors import InvalidError, Problem, StorageError
from kb.records import printers

FILE = "kitlore.toml"


def _known_zone(value: str) -> str:
    # Listing all zones takes longer than the rest of a start, so just this one is opened.
    try:
        ZoneInfo(value)
    except (KeyError, ValueError, OSError):
        msg = f"'{value}' is no time zone of the IANA list. Write one like Europe/London."
        raise ValueError(msg) from None
    return value


def _printers(value: str | None) -> str | None:
    return printers.written(printers.read(value)) or None if value else None


class Settings(Draft):
    """What a crew decides once.

    Attributes:
        zone: IANA time zone; days are cut in it.
        log_began: The day from which every fault was written down; the review counts from it.
        host: What a label's address begins with: a name or address, with a port if needed.
        currency: Three letters of ISO 4217.
        minute_cost: What one lost minute costs, in minor units of the currency.
        hold_days: For how long a fix must hold to have worked.
        repeat_days: Within how many days the review calls the same fault a repeat.
        printers: How far each label printer's print lies off; `kb.records.printers` reads it.
        database: An SQLAlchemy URL; empty for the embedded database of the folder.
        clock_right: A day on which the machine's clock is right, whatever the records say.
        today: A fixed day for demonstrations; the time of day stays the machine's.
    """

    zone: Annotated[Line, AfterValidator(_known_zone)] = "UTC"
    log_began: OptionalDay = None
    host: Line = "127.0.0.1:8017"
    currency: Annotated[Line, Field(pattern="^[A-Z]{3}$")] = "EUR"
    minute_cost: Annotated[int, Field(ge=0)] = 0
    hold_days: Annotated[int, Field(ge=1, le=365)] = 7
    repeat_days: Annotated[int, Field(ge=1, le=3650)] = 90
    printers: Annotated[OptionalLine, AfterValidator(_printers)] = None
    database: OptionalLine = None
    clock_right: OptionalDay = None
    today: OptionalDay = None

    @property
    def timezone(self) -> ZoneInfo:
        """The zone, ready to cut days with."""
        return ZoneInfo(self.zone)


def load(folder: Path) -> Settings:
    """Return the settings of a workspace.

    Raises:
        InvalidError: A line of the file is wrong; the file and the field are named.
        StorageError: The file can't be read.
    """
    path = folder / FILE
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
        return check(Settings, values)
    except InvalidError as error:
        raise InvalidError(
            Problem(f"{path}: {problem.field}", problem.message) for problem in error.problems
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InvalidError(
            [Problem(str(path), f"it is no TOML: {error}. Mend that line.")]
        ) from None
    except OSError as error:
        raise StorageError(f"{path} can't be read: {error.strerror}.", path) from error


def save(folder: Path, settings: Settings) -> None:
    """Write the settings, whole or not at all.

    Raises:
        StorageError: The folder can't be written.
    """
    path = folder / FILE
    lines = [
        f"{name} = {_toml(value)}"
        for name, value in settings.model_dump().items()
        if value is not None
    ]
    write_whole(path, "\n".join(["# Settings of this Kitlore workspace", *lines, ""]).encode())


def write_whole(path: Path, content: bytes) -> None:
    """Put a file in place whole: after a power cut it holds the old content or the new.

    Raises:
        StorageError: The folder is missing, full or can't be written.
    """
    beside = path.with_name(f".{path.name}.part")
    try:
        with beside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink()
        raise StorageError(
            f"{path} can't be written: {error.strerror}. Nothing was changed.", path
        ) from error


def _toml(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int):
        return str(value)
    escaped = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
