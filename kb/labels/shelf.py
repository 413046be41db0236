"""Find the label stocks on file: one TOML file each, the crew's own before those shipped."""

from collections.abc import Sequence
from pathlib import Path

from kb.errors import InvalidError, NotFoundError, Problem, StorageError
from kb.labels import stock
from kb.labels.stock import Stock

DEFAULT = "a4-3x7-63x38"


def names(folders: Sequence[Path]) -> tuple[str, ...]:
    """Return the names of all stocks, sorted."""
    return tuple(sorted(_files(folders)))


def find(name: str, folders: Sequence[Path]) -> Stock:
    """Return the stock of that name.

    Args:
        name: The file's name without its ending.
        folders: Where to look; the first that has it wins.

    Raises:
        NotFoundError: When no folder has it.
        InvalidError: When its numbers are wrong.
        StorageError: When the file can't be read.
    """
    files = _files(folders)
    if name not in files:
        known = ", ".join(sorted(files)) or "none"
        raise NotFoundError("label stock", name, f"On file are: {known}.")
    path = files[name]
    try:
        return stock.parse(path.read_text(encoding="utf-8"), name)
    except UnicodeDecodeError:
        raise InvalidError(
            [Problem(f"stock {name}", "the file is no UTF-8 text. Save it as UTF-8.")]
        ) from None
    except OSError as error:
        raise StorageError(
            f"'{path}' can't be read: {error.strerror}. Check who may read it.", path
        ) from error


def _files(folders: Sequence[Path]) -> dict[str, Path]:
    return {path.stem: path for folder in reversed(folders) for path in folder.glob("*.toml")}
