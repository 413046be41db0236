# ruff: noqa: T201 - it prints what it measured
"""Relevance on open test collections: mean average precision and nDCG@10.

Run by hand in tests/:  python -m bench.open_collections FOLDER

FOLDER holds `terrier-stopwords.txt` and one folder per collection with `docs.jsonl` (doc_id,
title, text), `queries.jsonl` (query_id, text) and `qrels.jsonl` (query_id, doc_id, rel). Without
it there is nothing to do. Published for Vaswani with BM25, b = 0.4 and the 733-word stop list:
MAP 0.2992 (Terrier documentation, quickstart experiments).
"""

import json
import math
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from unittest import mock

from kb.search import analysis, index, ranking, vocabulary
from kb.search.documents import Document

DEPTH = 1_000
MARK = "bench"

Judged = Mapping[str, Mapping[str, int]]
Runs = Mapping[str, list[str]]


def lines(path: Path) -> Iterator[dict[str, Any]]:
    """Yield the objects of a file of JSON lines."""
    with path.open(encoding="utf-8") as stream:
        yield from map(json.loads, stream)


def documents(folder: Path) -> Iterator[Document]:
    """Yield a collection's documents: title as title, text as a part that counts once."""
    for line in lines(folder / "docs.jsonl"):
        parts = {"title": line["title"], "steps": line["text"]}
        yield Document("entry", line["doc_id"], line["title"], parts, (), {})


def judgements(folder: Path) -> dict[str, dict[str, int]]:
    """Return query to document to its grade, above nought where it is relevant."""
    judged: dict[str, dict[str, int]] = {}
    for line in lines(folder / "qrels.jsonl"):
        judged.setdefault(line["query_id"], {})[line["doc_id"]] = line["rel"]
    return judged


def ranked(folder: Path, home: Path, stop: frozenset[str], b: float) -> Runs:
    """Return query to the keys of the documents found, best first."""
    runs = {}
    reader = index.open_reader(home, "entries")
    if reader is None:
        sys.exit("the index did not open")
    text = reader.text("entry")
    keys: dict[int, str] = {}
    for line in lines(folder / "queries.jsonl"):
        weights = dict.fromkeys(analysis.terms(line["text"], stop), 1.0)
        total = ranking.score(text, weights, b=b).total
        best = ranking.best(total, DEPTH)
        for number in best:
            if number not in keys:
                keys[number] = reader.found(number).key
        runs[line["query_id"]] = [keys[number] for number in best]
    reader.close()
    return runs


def average_precision(run: list[str], grades: Mapping[str, int]) -> float:
    """Return the mean, over the relevant documents, of the precision where each was found."""
    relevant = {key for key, grade in grades.items() if grade > 0}
    found, total = 0, 0.0
    for rank, key in enumerate(run, 1):
        if key in relevant:
            found += 1
            total += found / rank
    return total / len(relevant) if relevant else 0.0


def ndcg(run: list[str], grades: Mapping[str, int], depth: int = 10) -> float:
    """Return the discounted gain of the first documents over the best possible, all gains one."""
    gains = [1.0 if grades.get(key, 0) > 0 else 0.0 for key in run[:depth]]
    ideal = sorted((1.0 for grade in grades.values() if grade > 0), reverse=True)[:depth]
    best = sum(gain / math.log2(rank + 1) for rank, gain in enumerate(ideal, 1))
    return sum(g / math.log2(r + 1) for r, g in enumerate(gains, 1)) / best if best else 0.0


def measured(folder: Path, stop: frozenset[str], b: float) -> tuple[float, float]:
    """Return MAP and nDCG@10 over the judged queries of a collection."""
    judged = judgements(folder)
    with (
        tempfile.TemporaryDirectory() as home,
        mock.patch.object(analysis.terms, "__defaults__", (stop,)),
    ):
        index.rebuild(Path(home), "entries", documents(folder), until=MARK)
        runs = ranked(folder, Path(home), stop, b)
    queries = [query for query in runs if query in judged]
    return (
        sum(average_precision(runs[q], judged[q]) for q in queries) / len(queries),
        sum(ndcg(runs[q], judged[q]) for q in queries) / len(queries),
    )


def main(arguments: list[str]) -> None:
    """Print the figures of each collection of the folder that the arguments name."""
    if len(arguments) != 1 or not Path(arguments[0]).is_dir():
        print("skipped: give the folder of the collections")
        return
    home = Path(arguments[0])
    theirs = frozenset((home / "terrier-stopwords.txt").read_text(encoding="utf-8").split())
    settings = [
        ("as shipped", vocabulary.STOP, ranking.B),
        ("733-word stop list", theirs, ranking.B),
        ("733-word stop list", theirs, 0.4),
    ]
    for folder in sorted(path for path in home.iterdir() if (path / "qrels.jsonl").exists()):
        for name, stop, b in settings:
            precision, gain = measured(folder, stop, b)
            print(f"{folder.name:10} {name:20} b {b:.2f}  MAP {precision:.4f}  nDCG@10 {gain:.4f}")


if __name__ == "__main__":
    main(sys.argv[1:])
