"""The one question that tells the entries found apart, and what its answer does to their order.

The question is the one that is expected to take most doubt away: the entropy of the candidates
less what is left of it on average once it's answered (C. E. Shannon, 'A Mathematical Theory of
Communication', 1948), people being wrong now and then. Nothing is ever hidden by an answer.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kb.search import traits
from kb.search.confidence import lead as lead_of
from kb.search.listing import Hit
from kb.search.query import Answer

Asks = Literal["area", "sight", "scope", "since"]

# How far the first must be ahead of the second to be believed without a question.
CLEAR = 0.2
# Own choices, no source: what is looked at, what a question must bring in bits, how sharply a
# score speaks for its entry, and how often people answer rightly.
_CANDIDATES = 8
_LEAST_GAIN = 0.2
_SHARPNESS = 4.0
_RIGHT = {"area": 0.9, "sight": 0.75}
_SIGHTS = 4
_RULED_OUT = 0.02

_ASKED: Mapping[Asks, str] = {
    "area": "Where is it?",
    "sight": "Which of these is it most like?",
    "scope": "Is it on one thing, or on all of them?",
    "since": "Since when?",
}
_ANSWERS: Mapping[str, str] = {
    "one": "On one only",
    "all": "On all of them",
    "start": "From the moment it was switched on",
    "midway": "It came while it ran",
    "change": "After something was changed",
}


@dataclass(frozen=True)
class Told:
    """What was answered so far.

    Attributes:
        area: The area that it's in.
        sight: The entry that was recognised, by slug.
        scope: 'one' or 'all'.
        since: 'start', 'midway' or 'change'.
        ruled_out: Entries of which none was recognised, by slug.
        passed: Questions to which nothing offered was the answer.
    """

    area: str = ""
    sight: str = ""
    scope: str = ""
    since: str = ""
    ruled_out: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Option:
    """An answer that is offered.

    Attributes:
        text: What it says.
        told: All that is told once it's given.
    """

    text: str
    told: Told


@dataclass(frozen=True)
class Question:
    """A question with the answers offered, 'none of these' last.

    Attributes:
        asks: What it's about.
        text: How it's asked.
        options: The answers.
    """

    asks: Asks
    text: str
    options: tuple[Option, ...]


def narrowed(found: Answer, told: Told) -> Answer:
    """Return an answer in the order that fits what was told; nothing is left out.

    Args:
        found: The answer, with what is told of the area already asked for.
        told: What was answered so far.
    """
    entries = _entries(found)
    factors = [_factor(hit, told) for hit in entries]
    if not entries or set(factors) == {1.0}:
        return found
    scored = [
        replace(hit, score=hit.score * factor)
        for hit, factor in zip(entries, factors, strict=True)
    ]
    scored.sort(key=lambda hit: (bool(told.area) and hit.stored["area"] != told.area, -hit.score))
    picked = told.sight == scored[0].key
    return replace(
        found,
        hits=(*scored, *(hit for hit in found.hits if hit.kind != "entry")),
        lead=1.0 if picked else max(0.0, lead_of([hit.score for hit in scored[:2]])),
        confident=picked or (found.confident and scored[0].key not in told.ruled_out),
    )


def question(found: Answer, told: Told) -> Question | None:
    """Return the question that tells the entries found best apart; None where it's clear.

    Args:
        found: The answer, narrowed by what was told.
        told: What was answered so far.
    """
    if told.sight or (found.confident and found.lead >= CLEAR):
        return None
    hits = [hit for hit in _entries(found) if hit.key not in told.ruled_out][:_CANDIDATES]
    if len(hits) < 2:  # noqa: PLR2004 - one alone needs no telling apart
        return None
    chances = _chances(hits)
    gains = {asks: _gain(chances, table) for asks, table in _tables(hits, told).items()}
    best = max(gains, key=lambda asks: gains[asks], default=None)
    if best is None or gains[best] < _LEAST_GAIN:
        return None
    return Question(best, _ASKED[best], _options(best, hits, told))


def given(told: Told) -> tuple[tuple[str, Told], ...]:
    """Return each answer in words, and what is told without it."""
    answers = [
        (told.area, replace(told, area="")),
        (_ANSWERS.get(told.scope, ""), replace(told, scope="")),
        (_ANSWERS.get(told.since, ""), replace(told, since="")),
        ("It is the first one here" if told.sight else "", replace(told, sight="")),
        ("None of those before" if told.ruled_out else "", replace(told, ruled_out=())),
        ("A question passed over" if told.passed else "", replace(told, passed=())),
    ]
    return tuple((text, before) for text, before in answers if text)


def _entries(found: Answer) -> list[Hit]:
    return [hit for hit in found.hits if hit.kind == "entry"]


def _factor(hit: Hit, told: Told) -> float:
    """Return by how much what was told speaks for an entry: 1 where it says nothing."""
    if hit.key in told.ruled_out:
        return _RULED_OUT
    factor = 1 / _RULED_OUT if hit.key == told.sight else 1.0
    for name, kind in (("scope", told.scope), ("since", told.since)):
        if kind in traits.TRAITS[name]:
            factor *= _share(hit, name, kind) * len(traits.TRAITS[name])
    return factor


def _share(hit: Hit, name: str, kind: str) -> float:
    counts: Mapping[str, Mapping[str, int]] = hit.stored["traits"]  # type: ignore[assignment]
    return traits.share(counts[name], kind)


def _chances(hits: Sequence[Hit]) -> list[float]:
    """Return how likely each is the one that is meant, all together one."""
    top = max(hit.score for hit in hits) or 1.0
    weights = [(hit.score / top) ** _SHARPNESS for hit in hits]
    return [weight / sum(weights) for weight in weights]


def _tables(hits: Sequence[Hit], told: Told) -> dict[Asks, list[list[float]]]:
    """Return for each question not asked yet how likely each candidate brings each answer."""
    areas = _areas(hits)
    tables: dict[Asks, list[list[float]]] = {"sight": _sight_table(len(hits))}
    if not told.area and len(areas) > 1:
        tables["area"] = [
            [
                _RIGHT["area"] if hit.stored["area"] == area else _slip(_RIGHT["area"], areas)
                for area in areas
            ]
            for hit in hits
        ]
    for name, said in (("scope", told.scope), ("since", told.since)):
        if not said:
            kinds = traits.TRAITS[name]
            asks: Asks = "scope" if name == "scope" else "since"
            tables[asks] = [[_share(hit, name, kind) for kind in kinds] for hit in hits]
    return {asks: table for asks, table in tables.items() if asks not in told.passed}


def _slip(right: float, answers: Sequence[object]) -> float:
    return (1 - right) / (len(answers) - 1)


def _sight_table(count: int) -> list[list[float]]:
    """Return what who has each of the candidates answers: its title, another's, or none."""
    right = _RIGHT["sight"]
    shown = min(_SIGHTS, count)
    wrong = (1 - right) / shown
    return [
        [right if row == column else wrong for column in range(shown)]
        + [wrong if row < shown else right]
        for row in range(count)
    ]


def _gain(chances: Sequence[float], table: Sequence[Sequence[float]]) -> float:
    """Return the bits that the answer brings on average.

    Args:
        chances: How likely each candidate is.
        table: For each candidate, how likely it brings each answer.
    """
    left = 0.0
    for column in range(len(table[0])):
        joint = [chance * row[column] for chance, row in zip(chances, table, strict=True)]
        total = sum(joint)
        if total:
            left += total * _entropy([one / total for one in joint])
    return _entropy(chances) - left


def _entropy(chances: Iterable[float]) -> float:
    return -sum(chance * math.log2(chance) for chance in chances if chance > 0)


def _areas(hits: Iterable[Hit]) -> list[str]:
    return list(dict.fromkeys(str(hit.stored["area"]) for hit in hits))


def _options(asks: Asks, hits: Sequence[Hit], told: Told) -> tuple[Option, ...]:
    passed = Option("None of these", replace(told, passed=(*told.passed, asks)))
    if asks == "area":
        return (*(Option(area, replace(told, area=area)) for area in _areas(hits)), passed)
    if asks == "sight":
        return _sights(hits[:_SIGHTS], told)
    return (
        *(
            Option(
                _ANSWERS[kind],
                replace(told, scope=kind) if asks == "scope" else replace(told, since=kind),
            )
            for kind in traits.TRAITS[asks]
        ),
        replace(passed, text="I don't know"),
    )


def _sights(hits: Sequence[Hit], told: Told) -> tuple[Option, ...]:
    """Return the entries by their titles: how people say it is raw, and only for finding them."""
    options = (Option(hit.title, replace(told, sight=hit.key)) for hit in hits)
    gone = (*told.ruled_out, *(hit.key for hit in hits))
    return (*options, Option("None of these", replace(told, ruled_out=gone)))
