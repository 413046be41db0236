# ruff: noqa: T201 - it prints what it measured
"""How the confidence threshold was chosen, and how held-out symptom lines find their entry.

Run by hand in tests/:  python -m bench.confidence ../entries

Each symptom line is asked with itself taken out of its entry. Everyday sentences that no entry
speaks of are the other side. The figures are of the first entry listed.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from bench import starter
from bench.starter import Page

from kb.search import analysis, asking, confidence, ranking

FOLDS = 10
CUTS = (None, 3, 2)  # single words drawn from a sentence are not what people type

EVERYDAY = """
how do I get a wine stain out of a carpet
the cat will not eat her breakfast
what is the highest mountain of the country
my knee hurts when I climb the stairs
two tickets for the museum on saturday
the bread did not rise in the oven
the neighbour parked in front of our gate
best way to the seaside by train
the garden hose leaks at the tap
where did the children leave their coats
roof tiles came down in the storm
the bicycle chain jumps on the small sprocket
a number is wrong in the letter from the bank
the coffee tastes bitter since yesterday
is the swimming pool open on monday
paint is peeling off the kitchen wall
how long do I boil an egg
the dishwasher leaves spots on the glasses
my tomato plants have yellow leaves
the dentist moved my appointment
a wasp nest under the balcony
which wine goes with fish
the landlord raised the rent again
nobody swept the stairs this week
how do I fold a paper boat
please book a table for four tonight
the grass is too long to mow
our holiday flight was cancelled
the baby does not sleep through the night
who won the football match last night
the recipe asks for three spoons of sugar
a bird flew into the kitchen
my shoes are wet from the rain
can I pay the fine by instalments
the library wants its book back
the soup needs more salt
there is mud all over the hall
when do the shops close before the holidays
the dog chewed the sofa cushion
we ran out of washing powder
the choir sings at the wedding
sand got into the picnic basket
""".strip().splitlines()


@dataclass(frozen=True)
class Asked:
    """One query's outcome.

    Attributes:
        fold: The part of the cross-validation it belongs to.
        measure: Of the first entry found.
        rank: The rank of the entry it belongs to, none where that isn't among ten.
    """

    fold: int
    measure: float
    rank: int | None


def ask(memory: starter.Memory, text: str, fold: int, own: int | None) -> Asked:
    """Return what a query comes to."""
    asked = asking.asked(text)
    scores = ranking.score(memory, asked.weights)
    best = ranking.best(scores.total, 10)
    if not best:
        return Asked(fold, 0.0, None)
    matched = {term for term, holders in scores.holders.items() if best[0] in holders}
    worth = confidence.worth(asked.words, scores.rarity, matched)
    evidence = confidence.evidence(scores.total[best[0]], worth, memory.count)
    rank = best.index(own) + 1 if own in best else None
    return Asked(fold, evidence.measure, rank)


def cut(text: str, words: int | None) -> Iterator[str]:
    """Yield a text whole, or its words that count in runs of so many, end to end."""
    if words is None:
        yield text
        return
    counting = [piece.surface for piece in analysis.pieces(text) if piece.terms]
    for start in range(0, len(counting) - words + 1, words):
        yield " ".join(counting[start : start + words])


def lines(base: Sequence[Page], words: int | None) -> list[Asked]:
    """Return what each symptom line comes to, taken out of its entry."""
    memory = starter.memory(page.document for page in base)
    found = []
    for number, page in enumerate(base):
        for line in page.entry.symptoms:
            with memory.without_line(number, line):
                found += [ask(memory, part, number % FOLDS, number) for part in cut(line, words)]
    return found


def strangers(base: Sequence[Page], words: int | None) -> list[Asked]:
    """Return what the everyday sentences come to."""
    memory = starter.memory(page.document for page in base)
    return [
        ask(memory, part, number % FOLDS, None)
        for number, text in enumerate(EVERYDAY)
        for part in cut(text, words)
    ]


Sides = list[tuple[list[Asked], list[Asked]]]


def balanced(sides: Sides, threshold: float) -> float:
    """Return the share decided rightly, each way of cutting and each side counting the same."""
    shares = []
    for found, odd in sides:
        shares.append(sum(asked.measure >= threshold for asked in found) / len(found))
        shares.append(sum(asked.measure < threshold for asked in odd) / len(odd))
    return sum(shares) / len(shares)


def part(sides: Sides, fold: int, *, inside: bool) -> Sides:
    """Return a part of the cross-validation, or all but it."""
    return [
        (
            [asked for asked in found if (asked.fold == fold) == inside],
            [asked for asked in odd if (asked.fold == fold) == inside],
        )
        for found, odd in sides
    ]


def chosen(sides: Sides) -> float:
    """Return the threshold that decides best, in steps of a twentieth."""
    return max((step / 20 for step in range(40)), key=lambda t: balanced(sides, t))


def main(arguments: list[str]) -> None:
    """Print how lines are found, and the threshold by cross-validation."""
    base = starter.pages(Path(arguments[0])) if len(arguments) == 1 else []
    if not base:
        print("skipped: give the folder of the entries")
        return
    sides: Sides = []
    for words in CUTS:
        found = lines(base, words)
        ranks = [1 / asked.rank for asked in found if asked.rank]
        print(
            f"{words or 'all'} words: {len(found)} queries, first "
            f"{ranks.count(1.0) / len(found):.3f}, among ten {len(ranks) / len(found):.3f}, "
            f"mean reciprocal rank {sum(ranks) / len(found):.3f}"
        )
        sides.append(([asked for asked in found if asked.rank], strangers(base, words)))
    held_out = []
    for fold in range(FOLDS):
        best = chosen(part(sides, fold, inside=False))
        held_out.append((best, balanced(part(sides, fold, inside=True), best)))
    print("thresholds of the parts:", *(f"{best:.2f}" for best, _ in held_out))
    print(f"decided rightly, held out: {sum(right for _, right in held_out) / FOLDS:.3f}")
    print(f"best on all: {chosen(sides):.2f}; in use: {confidence.THRESHOLD:.2f}")
    for words, (found, odd) in zip(CUTS, sides, strict=True):
        kept = sum(a.measure >= confidence.THRESHOLD for a in found) / len(found)
        refused = sum(a.measure < confidence.THRESHOLD for a in odd) / len(odd)
        print(f"{words or 'all'} words, in use: kept {kept:.3f}, everyday refused {refused:.3f}")


if __name__ == "__main__":
    main(sys.argv[1:])
