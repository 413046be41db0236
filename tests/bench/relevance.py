# ruff: noqa: T201 - it prints what it measured
"""How well queries find their entry, per kind of query, with and without the true area.

Run by hand in tests/:  python -m bench.relevance QUERIES.jsonl [MORE.jsonl ...]

A line of a file is an object: `q`, `rel` (slug to grade, empty where no entry answers), `kind`.
The entries are the starter base's. nDCG takes 2^grade - 1 as gain and log2(rank + 1) as discount.
"""

import json
import math
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from bench import starter

from kb.search import index, query
from kb.search.listing import Wish
from kb.search.query import Opened

ENTRIES = Path(__file__).parents[2] / "entries"
DEPTH = 10


@dataclass(frozen=True)
class Query:
    """One query of a file: its words, what answers it, and of which kind it is."""

    text: str
    grades: Mapping[str, int]
    kind: str


@dataclass(frozen=True)
class Outcome:
    """What a query came to.

    Attributes:
        query: The query.
        listed: The slugs listed, best first.
        guided: The same with the area of the best answer given.
        confident: Whether the answer was called sure.
    """

    query: Query
    listed: tuple[str, ...]
    guided: tuple[str, ...]
    confident: bool


def read(path: Path) -> list[Query]:
    """Return the queries of a file."""
    lines = path.read_text(encoding="utf-8").splitlines()
    found = (json.loads(line) for line in lines if line.strip())
    return [Query(line["q"], line["rel"], line["kind"]) for line in found]


def outcomes(indexes: Opened, areas: Mapping[str, str], asked: Sequence[Query]) -> list[Outcome]:
    """Return what each query comes to."""
    return [_outcome(indexes, areas, one) for one in asked]


def _outcome(indexes: Opened, areas: Mapping[str, str], one: Query) -> Outcome:
    plain = query.answer(indexes, one.text, Wish())
    best = max(one.grades, key=lambda slug: one.grades[slug], default=None)
    area = areas[best] if best else None
    guided = query.answer(indexes, one.text, Wish(area=area)) if area else plain
    slugs = [tuple(h.key for h in found.hits if h.kind == "entry") for found in (plain, guided)]
    return Outcome(one, slugs[0], slugs[1], plain.confident)


def ndcg(listed: Sequence[str], grades: Mapping[str, int]) -> float:
    """Return the normalised discounted cumulative gain of the first ten."""
    ideal = sorted(grades.values(), reverse=True)[:DEPTH]
    return _gain([grades.get(slug, 0) for slug in listed[:DEPTH]]) / _gain(ideal)


def _gain(grades: Sequence[int]) -> float:
    return sum((2.0**grade - 1) / math.log2(rank + 1) for rank, grade in enumerate(grades, 1))


def among(listed: Sequence[str], grades: Mapping[str, int], depth: int) -> bool:
    """Return whether an answer of any grade is among the first so many."""
    return any(grades.get(slug, 0) > 0 for slug in listed[:depth])


def row(name: str, found: Sequence[Outcome]) -> str:
    """Return one line of the table: of queries that have an answer."""
    shares = [
        sum(among(one.listed, one.query.grades, 1) for one in found),
        sum(among(one.listed, one.query.grades, 3) for one in found),
        sum(ndcg(one.listed, one.query.grades) for one in found),
        sum(among(one.guided, one.query.grades, 1) for one in found),
        sum(among(one.guided, one.query.grades, 3) for one in found),
        sum(not one.confident for one in found),
    ]
    return f"{name:11} {len(found):4} " + " ".join(
        f"{share / len(found):7.3f}" for share in shares
    )


def table(found: Sequence[Outcome]) -> Iterator[str]:
    """Yield the lines of the table."""
    answered = [one for one in found if one.query.grades]
    yield "kind           n   first in-three nDCG@10 a-first a-three  unsure"
    for kind in dict.fromkeys(one.query.kind for one in answered):
        yield row(kind, [one for one in answered if one.query.kind == kind])
    yield row("all", answered)
    nothing = [one for one in found if not one.query.grades]
    sure = sum(one.confident for one in nothing)
    yield f"no answer: {sure} of {len(nothing)} confident"


def misses(found: Sequence[Outcome]) -> Iterator[str]:
    """Yield the queries whose first entry is no answer."""
    for one in found:
        if one.query.grades and not among(one.listed, one.query.grades, 1):
            wanted = " ".join(one.query.grades)
            yield f"  {one.query.text} | wanted {wanted} | got {' '.join(one.listed[:3])}"


def main(arguments: Sequence[str]) -> None:
    """Print a table for each file."""
    files = [Path(name) for name in arguments if not name.startswith("--")]
    if not files:
        print("skipped: give a file of queries")
        return
    base = starter.pages(ENTRIES)
    areas = {page.entry.slug: page.entry.area for page in base}
    with tempfile.TemporaryDirectory() as home:
        index.rebuild(Path(home), "entries", [page.document for page in base], until="1")
        with query.opened(Path(home)) as indexes:
            for path in files:
                found = outcomes(indexes, areas, read(path))
                print(path.stem, *table(found), sep="\n")
                if "--misses" in arguments:
                    print(*misses(found), sep="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
