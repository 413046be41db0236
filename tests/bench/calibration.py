# ruff: noqa: T201 - it prints what it measured
"""How likely an answer is to be listed: the curve and the threshold by cross-validation.

Run by hand in tests/:  python -m bench.calibration QUERIES.jsonl [MORE.jsonl ...]

The files are those of `bench.relevance`. The queries of a topic fall into the same of ten parts;
each part is judged by the curve that fits the nine others. Printed are the curve that fits all, a
table of reliability, and what each threshold comes to.
"""

import sys
import tempfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from pathlib import Path

import numpy as np
from bench import relevance, starter
from numpy.typing import NDArray

from kb.search import confidence, index, query
from kb.search.confidence import Evidence
from kb.search.listing import Wish
from kb.search.query import Opened

FOLDS = 10
RIDGE = 0.2
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Judged:
    """A query's first entry, and what is true of its list.

    Attributes:
        evidence: How well the first entry answers.
        fold: The part that the query belongs to.
        listed: Whether an answer is on the list.
        answered: Whether an entry answers it at all.
    """

    evidence: Evidence
    fold: int
    listed: bool
    answered: bool


def judged(indexes: Opened, one: relevance.Query) -> Judged:
    """Return what a query comes to."""
    found = query.answer(indexes, one.text, Wish())
    slugs = [hit.key for hit in found.hits if hit.kind == "entry"]
    topic = min(one.grades, default=one.text)
    fold = zlib.crc32(topic.encode()) % FOLDS
    listed = relevance.among(slugs, one.grades, relevance.DEPTH)
    return Judged(found.evidence, fold, listed, bool(one.grades))


def figures(one: Judged) -> tuple[float, float, float]:
    """Return what the curve weighs."""
    return 1.0, one.evidence.coverage, log(0.2 + one.evidence.strength)


def fitted(found: Sequence[Judged]) -> Floats:
    """Return the weights of the logistic curve, by Newton's method with a small ridge."""
    x = np.array([figures(one) for one in found])
    y = np.array([float(one.listed) for one in found])
    weights = np.zeros(x.shape[1])
    for _ in range(50):
        p = 1 / (1 + np.exp(-x @ weights))
        slope = x.T @ (p - y) + RIDGE * weights
        bend = (x * (p * (1 - p))[:, None]).T @ x + RIDGE * np.eye(x.shape[1])
        weights = weights - np.linalg.solve(bend, slope)
    return weights


def held_out(found: Sequence[Judged]) -> list[float]:
    """Return each query's probability by the curve of the other parts."""
    curves = [fitted([one for one in found if one.fold != fold]) for fold in range(FOLDS)]
    return [float(1 / (1 + np.exp(-np.dot(figures(one), curves[one.fold])))) for one in found]


def reliability(found: Sequence[Judged], told: Sequence[float]) -> None:
    """Print, for each tenth of probability, how often it was right."""
    print("probability    n   told   true")
    for step in range(10):
        mine = [n for n, p in enumerate(told) if min(int(p * 10), 9) == step]
        if mine:
            mean = sum(told[n] for n in mine) / len(mine)
            true = sum(found[n].listed for n in mine) / len(mine)
            print(
                f"{step / 10:.1f} to {step / 10 + 0.1:.1f} {len(mine):4} {mean:6.3f} {true:6.3f}"
            )


def thresholds(found: Sequence[Judged], told: Sequence[float]) -> None:
    """Print what each threshold comes to."""
    nothing = [p for one, p in zip(found, told, strict=True) if not one.answered]
    something = [p for one, p in zip(found, told, strict=True) if one.answered]
    for step in range(8, 19):
        limit = step / 20
        sure = sum(p >= limit for p in nothing)
        unsure = sum(p < limit for p in something) / len(something)
        print(f"threshold {limit:.2f}: no answer, {sure} of {len(nothing)} confident; ", end="")
        print(f"others, {unsure:.3f} unsure")


def main(arguments: Sequence[str]) -> None:
    """Print the calibration on the queries of the files."""
    asked = [one for name in arguments for one in relevance.read(Path(name))]
    if not asked:
        print("skipped: give a file of queries")
        return
    with tempfile.TemporaryDirectory() as home:
        documents = [page.document for page in starter.pages(relevance.ENTRIES)]
        index.rebuild(Path(home), "entries", documents, until="1")
        with query.opened(Path(home)) as indexes:
            found = [judged(indexes, one) for one in asked]
    told = held_out(found)
    print("weights", *(f"{weight:.2f}" for weight in fitted(found)))
    print("in use", *confidence.WEIGHTS, "threshold", confidence.THRESHOLD)
    reliability(found, told)
    thresholds(found, told)


if __name__ == "__main__":
    main(sys.argv[1:])
