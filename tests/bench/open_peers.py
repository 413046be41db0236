"""Other engines on the open collections: SQLite's FTS5, tantivy, and a reference BM25."""

import re
import sqlite3
from collections.abc import Sequence

import tantivy
from rank_bm25 import BM25Okapi

from kb.search import analysis

Pages = Sequence[tuple[str, str, str]]  # key, title, text
Runs = dict[str, dict[str, float]]  # query to document to its score
_WORD = re.compile(r"\w+")


def fts5(pages: Pages, queries: Sequence[tuple[str, str]], depth: int) -> Runs:
    """Return what FTS5 finds: stemmed (porter), any word, BM25."""
    base = sqlite3.connect(":memory:")
    base.execute(
        "create virtual table page using fts5(key unindexed, title, text, tokenize='porter')"
    )
    base.executemany("insert into page values (?, ?, ?)", pages)
    runs: Runs = {}
    order = "select key, -bm25(page) from page where page match ? order by bm25(page) limit ?"
    for key, text in queries:
        asked = " OR ".join(f'"{word}"' for word in dict.fromkeys(_WORD.findall(text)))
        runs[key] = dict(base.execute(order, (asked, depth)).fetchall()) if asked else {}
    base.close()
    return runs


def tantivys(pages: Pages, queries: Sequence[tuple[str, str]], depth: int) -> Runs:
    """Return what tantivy finds: English stems, any word, BM25 over title and text."""
    builder = tantivy.SchemaBuilder()
    builder.add_text_field("key", stored=True, tokenizer_name="raw")
    for name in ("title", "text"):
        builder.add_text_field(name, tokenizer_name="en_stem")
    index = tantivy.Index(builder.build())
    writer = index.writer(50_000_000, 1)
    for key, title, text in pages:
        writer.add_document(tantivy.Document(key=[key], title=[title], text=[text]))
    writer.commit()
    writer.wait_merging_threads()
    index.reload()
    searcher = index.searcher()
    runs: Runs = {}
    for key, text in queries:
        asked = index.parse_query(" ".join(_WORD.findall(text.lower())), ["title", "text"])
        hits = searcher.search(asked, depth).hits
        runs[key] = {searcher.doc(address)["key"][0]: score for score, address in hits}
    return runs


def reference(
    pages: Pages, queries: Sequence[tuple[str, str]], depth: int, k1: float, b: float
) -> Runs:
    """Return what a reference BM25 finds in the terms of our own analysis."""
    found = BM25Okapi([analysis.terms(f"{title} {text}") for _, title, text in pages], k1=k1, b=b)
    runs: Runs = {}
    for key, text in queries:
        scores = found.get_scores(list(dict.fromkeys(analysis.terms(text))))
        best = sorted(range(len(pages)), key=lambda n: -scores[n])[:depth]
        runs[key] = {pages[n][0]: float(scores[n]) for n in best}
    return runs
