# ruff: noqa: T201 - it prints what it measured
"""Speed of a warm search against SQLite's FTS5: same documents, queries and process.

Run by hand in tests/:  python -m bench.search [HOW_MANY_DOCUMENTS ...]

Two fifths of the made-up documents are long and in four parts like entries, the rest short like
faults; words follow Zipf's law. A query is two to six words of one document's title and symptoms.
Each query is timed in turns, the best of five each; the figures are over the queries. 'Words'
is the word list alone (analysis, scores, ten best), 'answer' the whole answer with its stored
pages. FTS5 stems (porter), and weighs its columns as our parts.
"""

import gc
import random
import sqlite3
import statistics
import sys
import tempfile
from collections.abc import Callable, Iterator
from itertools import accumulate
from pathlib import Path
from time import perf_counter

from kb.search import asking, documents, index, query, ranking, vocabulary
from kb.search.documents import Document
from kb.search.listing import Wish
from kb.search.query import Opened

PARTS = ("title", "symptoms", "causes", "fixes")
QUERIES = 200
TURNS = 5
TRADE = """
no not on off sound picture black green purple flicker signal laptop monitor cable drive recorder
mixer camera screen dead hum power adapter hub keypad dark button light battery hot fan late echo
voice call guest network slow drop lost blue red wrong colour small frozen stuck label plug socket
""".split()  # noqa: SIM905 - read as words


def words(rng: random.Random, vocabulary_size: int) -> Callable[[int], str]:
    """Return what draws so many words by Zipf's law, trade words among the frequent ones."""
    made = ["".join(rng.choices("bdfgklmnprst", k=2)) + f"{'aeiou'[n % 5]}" for n in range(900)]
    known = [*TRADE, *dict.fromkeys(made)]
    while len(known) < vocabulary_size:
        known.append(rng.choice(made) + rng.choice(made) + rng.choice("aeiou"))
    weights = list(accumulate(1 / rank for rank in range(1, len(known) + 1)))
    return lambda count: " ".join(rng.choices(known, cum_weights=weights, k=count))


def corpus(rng: random.Random, count: int) -> Iterator[Document]:
    """Yield made-up documents."""
    draw = words(rng, 300 * round(count**0.5))
    for number in range(count):
        lengths = (8, 40, 60, rng.randint(20, 280)) if number % 5 < 2 else (6, rng.randint(4, 54))
        parts = {name: draw(length) for name, length in zip(PARTS, lengths, strict=False)}
        title = parts["title"]
        yield Document("entry", str(number), title, parts, (), {"area": "Audio", "fixes": [title]})


def table(found: list[Document]) -> sqlite3.Connection:
    """Return the documents in an FTS5 table in memory."""
    base = sqlite3.connect(":memory:")
    base.execute(f"create virtual table page using fts5({', '.join(PARTS)}, tokenize='porter')")
    rows = [[each.parts.get(name, "") for name in PARTS] for each in found]
    base.executemany("insert into page values (?, ?, ?, ?)", rows)
    base.execute("insert into page(page) values ('optimize')")
    return base


def best_of_peer(base: sqlite3.Connection, text: str) -> list[int]:
    """Return the rows of the ten best by FTS5."""
    asked = " OR ".join(f'"{word}"' for word in text.split() if word not in vocabulary.STOP)
    weights = ", ".join(str(float(documents.WEIGHTS[name])) for name in PARTS)
    order = f"select rowid from page where page match ? order by bm25(page, {weights}) limit 10"  # noqa: S608 - our own numbers
    return [row for (row,) in base.execute(order, (asked,))]


def best_of_ours(indexes: Opened, text: str) -> list[int]:
    """Return the numbers of our ten best."""
    scores = ranking.score(indexes.readers["entries"].text("entry"), asking.asked(text).weights)
    return ranking.best(scores.total, 10)


def timed(work: Callable[[], object]) -> float:
    """Return how long the work takes, in milliseconds."""
    start = perf_counter()
    work()
    return (perf_counter() - start) * 1e3


def compared(count: int) -> dict[str, list[float]]:
    """Return name -> the milliseconds of each query."""
    rng = random.Random(count)  # noqa: S311 - made-up words
    found = list(corpus(rng, count))
    asked = []
    for each in rng.sample(found, min(QUERIES, count)):
        told = f"{each.parts['title']} {each.parts['symptoms']}".split()
        asked.append(" ".join(rng.sample(told, rng.randint(2, min(6, len(told))))))
    times: dict[str, list[float]] = {"FTS5": [], "words": [], "answer": []}
    with tempfile.TemporaryDirectory() as home:
        index.rebuild(Path(home), "entries", found, until="all")
        base = table(found)
        found.clear()  # else the collector walks them during the searches of ours
        gc.collect()
        with query.opened(Path(home)) as indexes:
            for text in asked:
                turns: dict[str, list[float]] = {name: [] for name in times}
                for _ in range(TURNS):
                    turns["FTS5"].append(timed(lambda: best_of_peer(base, text)))  # noqa: B023
                    turns["words"].append(timed(lambda: best_of_ours(indexes, text)))  # noqa: B023
                    turns["answer"].append(timed(lambda: query.answer(indexes, text, Wish())))  # noqa: B023
                for name, taken in turns.items():
                    times[name].append(min(taken))
        base.close()
    return times


def main(arguments: list[str]) -> None:
    """Print medians, 95th percentiles and ratios for each number of documents."""
    for count in map(int, arguments or ["500", "5000"]):
        times = compared(count)
        peer = statistics.median(times["FTS5"])
        for name, taken in times.items():
            middle, late = statistics.median(taken), statistics.quantiles(taken, n=20)[-1]
            ratio = middle / peer
            print(f"{count:6} {name:7} p50 {middle:.3f} ms  p95 {late:.3f} ms  ratio {ratio:.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
