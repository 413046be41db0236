"""A second ranked list, by the meaning of whole lines: the extra `kitlore[meaning]`.

Static vectors of sentences (WordLlama, in its own package with its weights) over the symptom
lines and the title of each entry. What is asked is near an entry when it's near one of its lines
and near all of them on the whole; both are measured from the middle of all lines, since vectors
of one trade point much the same way. Nothing here is imported before somebody asks for it.
"""

import functools
import importlib.util
import shutil
from collections.abc import Callable, Hashable, Mapping, Sequence
from pathlib import Path
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kb.search import state
from kb.search.reading import Reader

Vectors = NDArray[np.float32]

Lines = Mapping[int, Sequence[str]]
Near = Callable[[str], Mapping[int, float]]

_loading, _keeping = Lock(), Lock()
_kept: dict[Hashable, tuple[tuple[int, ...], "Similar | None"]] = {}


class Similar:
    """The lines of some entries as vectors."""

    def __init__(self, encode: "Encode", lines: Sequence[Sequence[str]]) -> None:
        """Take each entry's lines, in the order that scores are asked for."""
        self._encode = encode
        self._owner = np.repeat(np.arange(len(lines)), [len(mine) for mine in lines])
        vectors = encode([line for mine in lines for line in mine])
        self._middle = vectors.mean(axis=0)
        self._lines = _unit(vectors - self._middle)
        means = [self._lines[self._owner == n].mean(axis=0) for n in range(len(lines))]
        self._wholes = _unit(np.stack(means))

    def scores(self, text: str) -> list[float]:
        """Return how near each entry is to a text, -2 to 2."""
        asked = _unit(self._encode([text]) - self._middle)[0]
        nearest = np.full(len(self._wholes), -1.0, dtype=np.float32)
        np.maximum.at(nearest, self._owner, self._lines @ asked)
        return [float(score) for score in nearest + self._wholes @ asked]


def of_lines(encode: "Encode", mark: Hashable, read: Callable[[], Lines]) -> Near:
    """Return what tells how near each entry is to a text.

    Args:
        encode: What makes vectors.
        mark: What tells this state of the index from any other; the newest is kept.
        read: Return the lines of each entry, by its number.
    """
    with _keeping:
        if mark not in _kept:
            found = read()
            _kept.clear()
            _kept[mark] = (tuple(found), Similar(encode, tuple(found.values())) if found else None)
        numbers, similar = _kept[mark]
    if similar is None:
        return lambda _: {}
    return lambda text: dict(zip(numbers, similar.scores(text), strict=True))


class Encode:
    """Text to vectors; one thread at a time."""

    def __init__(self, model: Any) -> None:  # noqa: ANN401 - the library is untyped
        self._model = model
        self._lock = Lock()

    def __call__(self, lines: Sequence[str]) -> Vectors:
        """Return the lines as unit vectors."""
        with self._lock:
            found = self._model.embed([line.lower() or " " for line in lines], norm=True)
        return np.asarray(found, dtype=np.float32)


def meaning(folder: Path, reader: Reader) -> Near | None:
    """Return what tells how near each entry of an opened index is; None without the extra.

    Args:
        folder: Where the indexes are; the library's small files are laid beside them.
        reader: The index of entries.
    """
    encode = encoder(folder / "meaning")
    kept = state.read(folder, "entries")
    if encode is None or kept is None:
        return None
    return of_lines(encode, (folder, *sorted(kept.files)), reader.lines)


def installed() -> bool:
    """Return whether the extra is there."""
    return importlib.util.find_spec("wordllama") is not None


def encoder(folder: Path) -> Encode | None:
    """Return what makes vectors, loaded once; None where the extra is not installed.

    Args:
        folder: Where the library may look for its files; nothing is fetched from the network.
    """
    with _loading:
        return _loaded(folder) if installed() else None


@functools.lru_cache(maxsize=1)
def _loaded(folder: Path) -> Encode:
    import wordllama  # noqa: PLC0415 - the extra

    shelf = folder / "tokenizers"
    shelf.mkdir(parents=True, exist_ok=True)
    home = Path(wordllama.__file__).parent
    # The wheel brings this file where its own loader doesn't look for it.
    for file in (home / "tokenizers").glob("*.json"):
        if not (shelf / file.name).exists():
            shutil.copyfile(file, shelf / file.name)
    return Encode(wordllama.WordLlama.load(cache_dir=folder, disable_download=True))


def _unit(vectors: Vectors) -> Vectors:
    lengths = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.asarray(vectors / np.maximum(lengths, 1e-9), dtype=np.float32)
