# ruff: noqa: T201 - it prints what it measured
"""Relevance on open test collections, beside other engines, by a standard evaluator.

Run by hand in tests/:  python -m bench.open_collections FOLDER

FOLDER holds `terrier-stopwords.txt` and one folder per collection with `docs.jsonl` (doc_id,
title, text), `queries.jsonl` (query_id, text) and `qrels.jsonl` (query_id, doc_id, rel). Without
it there is nothing to do. Published for Vaswani with BM25, b = 0.4 and the 733-word stop list:
MAP 0.2992 (Terrier documentation, quickstart experiments). The evaluator is ir-measures, which
asks trec_eval; relevance is taken as there is or there isn't.
"""

import json
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from unittest import mock

import ir_measures
from bench import open_peers
from bench.open_peers import Runs
from ir_measures import AP, nDCG

from kb.search import analysis, index, ranking, vocabulary
from kb.search.documents import Document

DEPTH = 1_000
MARK = "bench"

Judged = Mapping[str, Mapping[str, int]]


def lines(path: Path) -> Iterator[dict[str, Any]]:
    """Yield the objects of a file of JSON lines."""
    with path.open(encoding="utf-8") as stream:
        yield from map(json.loads, stream)


def documents(folder: Path) -> Iterator[Document]:
    """Yield a collection's documents: the title counts twice, the text once."""
    for line in lines(folder / "docs.jsonl"):
        # A title said once more than the text, as measured best on the three.
        parts = {"note": f"{line['title']}\n{line['title']}\n{line['text']}"}
        yield Document("entry", line["doc_id"], line["title"], parts, (), {})


def judgements(folder: Path) -> dict[str, dict[str, int]]:
    """Return query to document to one where it is relevant, else nought."""
    judged: dict[str, dict[str, int]] = {}
    for line in lines(folder / "qrels.jsonl"):
        judged.setdefault(line["query_id"], {})[line["doc_id"]] = int(line["rel"] > 0)
    return judged


def ranked(folder: Path, home: Path, stop: frozenset[str], b: float) -> Runs:
    """Return query to the documents found and their scores."""
    runs: Runs = {}
    reader = index.open_reader(home, "entries")
    if reader is None:
        sys.exit("the index did not open")
    text = reader.text("entry")
    for line in lines(folder / "queries.jsonl"):
        weights = dict.fromkeys(analysis.terms(line["text"], stop), 1.0)
        total = ranking.score(text, weights, b=b).total
        best = ranking.best(total, DEPTH)
        runs[line["query_id"]] = {reader.found(number).key: total[number] for number in best}
    reader.close()
    return runs


def told(name: str, setting: str, judged: Judged, runs: Runs) -> None:
    """Print the figures of one run, over the judged queries."""
    asked = {query: found for query, found in runs.items() if query in judged}
    figures = ir_measures.calc_aggregate([AP, nDCG @ 10], judged, asked)
    print(f"{name:10} {setting:34} MAP {figures[AP]:.4f}  nDCG@10 {figures[nDCG @ 10]:.4f}")


def ours(folder: Path, stop: frozenset[str], b: float) -> Runs:
    """Return what our own search finds in a collection, by the word list alone."""
    with (
        tempfile.TemporaryDirectory() as home,
        mock.patch.object(analysis.terms, "__defaults__", (stop,)),
    ):
        index.rebuild(Path(home), "entries", documents(folder), until=MARK)
        return ranked(folder, Path(home), stop, b)


def peers(folder: Path, judged: Judged) -> None:
    """Print the figures of the other engines."""
    found = lines(folder / "docs.jsonl")
    pages = [(line["doc_id"], line["title"], line["text"]) for line in found]
    asked = [(line["query_id"], line["text"]) for line in lines(folder / "queries.jsonl")]
    told(folder.name, "FTS5, porter", judged, open_peers.fts5(pages, asked, DEPTH))
    told(folder.name, "tantivy, en_stem", judged, open_peers.tantivys(pages, asked, DEPTH))
    runs = open_peers.reference(pages, asked, DEPTH, ranking.K1, ranking.B)
    told(folder.name, "rank-bm25, our terms", judged, runs)


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
        judged = judgements(folder)
        for name, stop, b in settings:
            told(folder.name, f"ours, {name}, b {b:.2f}", judged, ours(folder, stop, b))
        peers(folder, judged)


if __name__ == "__main__":
    main(sys.argv[1:])
