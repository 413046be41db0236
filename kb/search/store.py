# mypy: disallow-untyped-calls=False
"""How an index lies in its folder: its fields, and files that outlive a power cut."""

import contextlib
import os
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

from whoosh import fields, formats
from whoosh.filedb.filestore import FileStorage
from whoosh.filedb.structfile import StructFile
from whoosh.reading import SegmentReader

from kb.search import analysis, documents, reading, sounds, thesaurus
from kb.search.documents import KINDS, Document, Which

_TIER = 4


class Weighted(fields.FieldType):
    """Terms that come with their weight, so that nothing is analysed twice; no positions."""

    def __init__(self, *, scorable: bool = False) -> None:
        super().__init__(formats.Existence(), None, scorable=scorable)

    def index(
        self, value: Mapping[str, float], **_: object
    ) -> Iterator[tuple[bytes, int, float, bytes]]:
        """Yield what is posted of each term: itself, its share of the length, its weight.

        The library adds lengths up from whole numbers; what is cut off one goes to the next.
        Meanings are said by words that are counted already.
        """
        rest = 0.0
        for term, weight in sorted(value.items()):
            whole, rest = (
                (0, rest) if term.startswith(thesaurus.MARK) else divmod(weight + rest, 1)
            )
            yield term.encode(), int(whole), float(weight), b""


class Storage(FileStorage):
    """A folder whose lasting files are on the disk before another file names them.

    It keeps hold of what it opened, since the library drops open files where it fails.
    """

    def __init__(self, folder: Path) -> None:
        super().__init__(str(folder))
        self._opened: list[StructFile] = []

    def create_file(self, name: str, excl: bool = False, mode: str = "wb", **kwargs: Any) -> Any:  # noqa: ANN401, FBT001, FBT002 - the library's own signature
        """Create a file; one that lasts is synced when it is closed."""
        lasting = name.endswith(".seg") or ".toc." in name
        onclose = _sync if lasting else None
        self._opened.append(super().create_file(name, excl, mode, onclose=onclose, **kwargs))
        return self._opened[-1]

    def open_file(self, name: str, **kwargs: Any) -> Any:  # noqa: ANN401
        """Open a file; a table of contents is read whole."""
        if name.endswith(".toc"):
            return StructFile(BytesIO(Path(self.folder, name).read_bytes()), name=name)
        self._opened.append(super().open_file(name, **kwargs))
        return self._opened[-1]

    def abandon(self) -> None:
        """Close what a failure left open."""
        for file in self._opened:
            with contextlib.suppress(OSError):
                file.file.close()


def schema(which: Which) -> fields.Schema:
    """Return the fields of an index: one text for each kind it holds, and what is stored."""
    texts = {kind: Weighted(scorable=True) for kind in KINDS[which]}
    looked_up = {name: Weighted() for name in reading.LOOKED_UP}
    stored = {name: fields.STORED() for name in reading.STORED}
    return fields.Schema(**texts, **looked_up, **stored)


def row(document: Document) -> dict[str, Any]:
    """Return the fields of one document."""
    area = document.stored.get("area")
    return {
        document.kind: documents.weighted_terms(document) | _meanings(document),
        reading.SPELLING: _spelling(document),
        reading.IDENTITY: {documents.identity(document.kind, document.key): 1},
        reading.EXACT: dict.fromkeys(documents.exact_keys(document), 1),
        reading.AREA: {analysis.exact_key(area): 1} if isinstance(area, str) else {},
        "kind": document.kind,
        "key": document.key,
        "title": document.title,
        "stored": documents.stored_text(document),
    }


def _meanings(document: Document) -> dict[str, float]:
    """Return the meanings of an entry; others are found by their words alone."""
    if document.kind != "entry":
        return {}
    return documents.weighted_meanings(document, thesaurus.shipped())


def _spelling(document: Document) -> dict[str, float]:
    """Return the words of an entry, each with its sound; others bring too many names."""
    if document.kind != "entry":
        return {}
    return {reading.spelling(word, sounds.key(word)): 1 for word in documents.words(document)}


def tiers(writer: Any, segments: list[Any]) -> list[Any]:  # noqa: ANN401
    """Merge segments of one size when there are enough of them, and return those that stay.

    The library's own policy merges all small segments on each fifth commit, up to 100 ms for an
    entry changed; this way a document is merged again only when its segment grows fourfold.

    Args:
        writer: The library's writer, on committing.
        segments: The segments there are.
    """
    alive = {segment: segment.doc_count_all() - segment.deleted_count() for segment in segments}
    merging: list[Any] = []
    low = 1
    while True:
        tier = [segment for segment, size in alive.items() if low <= size < low * _TIER]
        if len(tier) + 1 < _TIER:  # the one that is being written comes to them
            break
        merging += tier
        low *= _TIER
    for segment in merging:
        reader = SegmentReader(writer.storage, writer.schema, segment)
        writer.add_reader(reader)
        reader.close()
    return [segment for segment, size in alive.items() if size and segment not in merging]


def _sync(file: StructFile) -> None:
    file.flush()
    os.fsync(file.fileno())
