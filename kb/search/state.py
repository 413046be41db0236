"""What stands beside an index: up to where it has read, and which files it had then."""

import contextlib
import json
import os
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

from kb.records import disk
from kb.search import thesaurus
from kb.search.documents import Which

# Raised when documents, terms, weights or fields change: indexes of another format are made anew.
FORMAT = 3


@dataclass(frozen=True)
class State:
    """What was written after the last commit.

    Attributes:
        position: Up to where the change feed is in the index; the feed's own words.
        files: The index's files and their sizes in bytes.
    """

    position: str
    files: dict[str, int]


def read(folder: Path, which: Which) -> State | None:
    """Return the state, None where there is none, or a damaged one, or one of another format."""
    try:
        kept = json.loads(_path(folder, which).read_bytes())
        if kept["format"] != _format():
            return None
        return State(str(kept["position"]), {str(n): int(s) for n, s in kept["files"].items()})
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def write(folder: Path, which: Which, position: str) -> None:
    """Write down the position, and the files as they are now; all or nothing.

    Raises:
        OSError: When the folder can't be written.
    """
    kept = {"format": _format(), **asdict(State(position, files(folder, which)))}
    path = _path(folder, which)
    fresh = path.with_suffix(".new")
    with fresh.open("wb") as stream:
        stream.write(json.dumps(kept).encode())
        stream.flush()
        os.fsync(stream.fileno())
    fresh.replace(path)
    disk.sync_folder(folder)


def forget(folder: Path, which: Which) -> None:
    """Take the state away: the index counts as absent from now on."""
    with contextlib.suppress(OSError):
        _path(folder, which).unlink(missing_ok=True)


def files(folder: Path, which: Which) -> dict[str, int]:
    """Return the files of an index and their sizes; locks and half-made ones are none."""
    with os.scandir(folder) as found:
        return {
            entry.name: entry.stat().st_size
            for entry in found
            if entry.name.startswith((f"{which}_", f"_{which}_"))
            and entry.name.endswith((".seg", ".toc"))
        }


def contents(names: Iterable[str]) -> set[str]:
    """Return the tables of contents among files; each commit writes one of its own."""
    return {name for name in names if name.endswith(".toc")}


def unchanged(folder: Path, state: State) -> bool:
    """Return whether each file the state names is there with its size."""
    try:
        return all((folder / name).stat().st_size == size for name, size in state.files.items())
    except OSError:
        return False


def _format() -> list[int]:
    """Return what an index was made by: the form of its documents, and the thesaurus."""
    return [FORMAT, thesaurus.digest()]


def _path(folder: Path, which: Which) -> Path:
    return folder / f"{which}.json"
