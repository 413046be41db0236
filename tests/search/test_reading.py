# mypy: disallow-untyped-calls=False
"""Scores against the index library's own searcher, on segments with changes and deletions."""

import math
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from whoosh import query, scoring
from whoosh.index import FileIndex
from whoosh.searching import Searcher

from kb.errors import StorageError
from kb.search import index, ranking, reading, store
from kb.search.documents import Document
from kb.search.reading import Text

Make = Callable[..., Document]

WORDS = "no sound picture black cable drive hum recorder late echo camera dead hot slow".split()  # noqa: SIM905
SEGMENTS, EACH = 8, 45


class Usual(scoring.BM25F):
    """The library's BM25 with the inverse document frequency that ours uses."""

    def idf(self, searcher: Searcher, fieldname: str, text: str) -> float:
        frequency = searcher.reader().doc_frequency(fieldname, text)
        count = searcher.doc_count_all()
        return math.log(1 + (count - frequency + 0.5) / (frequency + 0.5))


def build(folder: Path, make: Make) -> None:
    """Make an index of several segments, a part of each deleted or written anew."""
    rng = random.Random(8)  # noqa: S311 - made-up words

    def page(number: int) -> Document:
        told = " ".join(rng.choices(WORDS, k=rng.randint(3, 90)))
        return make("entry", f"p{number}", rng.choice(WORDS), causes=told)

    index.rebuild(folder, "entries", map(page, range(EACH)), until="0")
    for turn in range(1, SEGMENTS):
        fresh = [page(turn * EACH + n) for n in range(EACH)]
        again = [page(rng.randrange(turn * EACH)) for _ in range(4)]
        gone = [("entry", f"p{rng.randrange(turn * EACH)}") for _ in range(3)]
        index.apply(folder, "entries", fresh + again, gone, since=str(turn - 1), until=str(turn))


def theirs(folder: Path, terms: list[str], weighting: scoring.WeightingModel) -> dict[int, float]:
    opened = FileIndex(store.Storage(folder), store.schema("entries"), "entries")
    with opened.searcher(weighting=weighting) as searcher:
        assert len(searcher.leaf_searchers()) >= SEGMENTS
        assert searcher.reader().has_deletions()
        asked = query.Or([query.Term("entry", term) for term in terms])
        found = searcher.search(asked, limit=None)
        return {hit.docnum: found.score(rank) for rank, hit in enumerate(found)}


def read(text: Text, term: str, limit: int) -> list[int]:
    return [number for numbers, _ in text.read(term, limit) for number in numbers]


def test_scores_equal_those_of_the_librarys_searcher(folder: Path, make: Make) -> None:
    build(folder, make)
    reader = index.open_reader(folder, "entries")
    assert reader is not None
    for terms in (["hum"], ["no", "sound"], ["late", "echo", "camera", "nowhere"], WORDS):
        ours = ranking.score(reader.text("entry"), dict.fromkeys(terms, 1.0), k1=1.2, b=0.75)

        expected = theirs(folder, terms, Usual(B=0.75, K1=1.2))
        assert len(expected) > 20
        found = {number: score for number, score in enumerate(ours.total) if score}
        assert found == pytest.approx(expected, abs=1e-9, rel=0)
    reader.close()


def test_deleted_and_replaced_documents_are_not_found(folder: Path, make: Make) -> None:
    old = make("entry", "a", "hum")
    index.rebuild(folder, "entries", [old, make("entry", "b", "hum"), old], until="0")
    index.apply(
        folder, "entries", [make("entry", "a", "echo")], [("entry", "b")], since="0", until="1"
    )
    reader = index.open_reader(folder, "entries")
    assert reader is not None
    text = reader.text("entry")
    assert read(text, "hum", 9) == []
    (number,) = read(text, "echo", 9)
    assert reader.found(number) == reading.Found("entry", "a", "echo", {})
    reader.close()


def test_texts_of_a_kind_know_only_their_own(folder: Path, make: Make) -> None:
    found = [
        make("item", "K7Q2MX", "hum", item="CC-01"),
        make("fault", "1", "hum", text="hum hum"),
        make("fault", "2", "echo"),
    ]
    index.rebuild(folder, "records", found, until="0")
    reader = index.open_reader(folder, "records")
    assert reader is not None

    assert [reader.text(kind).count for kind in ("item", "fault")] == [1, 2]
    assert [reader.text(kind).frequency("hum") for kind in ("item", "fault")] == [1, 1]
    assert reader.text("fault").average == pytest.approx((3 + 2 * 2 + 3) / 2)
    reader.close()


def test_a_limit_reads_new_segments_first(folder: Path, make: Make) -> None:
    index.rebuild(folder, "records", [make("fault", "1", "hum")], until="0")
    index.apply(folder, "records", [make("fault", "2", "hum")], [], since="0", until="1")
    reader = index.open_reader(folder, "records")
    assert reader is not None

    (number,) = read(reader.text("fault"), "hum", 1)
    assert reader.found(number).key == "2"
    reader.close()


def test_an_empty_index_reads_as_nothing(folder: Path) -> None:
    index.rebuild(folder, "entries", [], until="0")
    reader = index.open_reader(folder, "entries")
    assert reader is not None

    assert reader.text("entry").count == 0
    assert reader.exact("hum") == []
    assert reader.in_area("audio") == frozenset()
    reader.close()


def test_damage_turns_any_error_into_one_but_for_those_excepted() -> None:
    with pytest.raises(StorageError, match="made anew"), reading.damage():
        raise EOFError
    with pytest.raises(FileNotFoundError), reading.damage(but=OSError):
        raise FileNotFoundError
