"""Work on files that is whole or not there at all, and the sentence where the disk refuses."""

import contextlib
import itertools
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from kb.errors import StorageError

_PART = ".kitlore-part-"
_SPARE_ROOM = 16 * 1024 * 1024


@contextmanager
def refusals(path: Path, act: str = "written") -> Iterator[None]:
    """Turn what the operating system refuses into one of our errors.

    Args:
        path: What is worked on; the sentence names it.
        act: What could not be done with it ('written', 'read').

    Raises:
        StorageError: The system refused.
    """
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        raise StorageError(
            f"{path} can't be {act}: {reason}. Nothing was changed. Look at the disk and the "
            "folder's permissions, or name another place.",
            path,
        ) from error


@contextmanager
def staging(parent: Path) -> Iterator[Path]:
    """Make a hidden folder to work in, on the disk of `parent`; it is gone afterwards.

    Raises:
        StorageError: The folder can't be made.
    """
    with refusals(parent):
        parent.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=_PART, dir=parent))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def leftovers(parent: Path) -> tuple[Path, ...]:
    """Return what work that was cut off (by a power cut, say) left behind in a folder."""
    return tuple(sorted(parent.glob(f"{_PART}*"))) if parent.is_dir() else ()


def free_path(folder: Path, stem: str, suffix: str = "") -> Path:
    """Return a path in a folder that nothing has yet, numbered where the first is taken."""
    numbered = (folder / f"{stem}-{number}{suffix}" for number in itertools.count(2))
    several = itertools.chain([folder / f"{stem}{suffix}"], numbered)
    return next(path for path in several if not path.exists())


def sync(file: IO[bytes]) -> None:
    """Have what was written to an open file on the disk before going on."""
    file.flush()
    os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Make a renaming last through a power cut, where the system lets a folder be synced."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def require_room(folder: Path, size: int) -> None:
    """Refuse to begin what the disk has no room for.

    Args:
        folder: Where it will lie.
        size: Its bytes.

    Raises:
        StorageError: There is too little room.
    """
    free = shutil.disk_usage(folder).free
    if size + _SPARE_ROOM > free:
        raise StorageError(
            f"{folder} has room for {megabytes(free)} and {megabytes(size + _SPARE_ROOM)} are "
            "needed. Nothing was changed. Make room, then try again.",
            folder,
        )


def megabytes(size: int) -> str:
    """Return a number of bytes as people say it."""
    return f"{size / 1_000_000:,.1f} MB"
