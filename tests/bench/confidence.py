# ruff: noqa: T201 - it prints what it measured
"""How the confidence threshold was chosen, and how held-out symptom lines find their entry.

Run by hand:  python tests/bench/confidence.py ENTRIES_FOLDER

Each symptom line is asked with itself taken out of its entry. Everyday sentences that no entry
speaks of are the other side. The figures are of the first entry listed.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import starter
from starter import Page

from kb.search import analysis, asking, confidence, ranking

FOLDS = 10
CUTS = (None, 3, 2)

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
    """One query's outcome: the measure, and the rank of the entry it belongs to."""

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
    share = confidence.share(asked.words, scores.rarity, matched)
    strength = scores.total[best[0]] / ranking.rarity(memory.count, 0)
    rank = best.index(own) + 1 if own in best else None
    return Asked(fold, confidence.Evidence(share, strength).measure, rank)


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


def balanced(ours: Sequence[Asked], theirs: Sequence[Asked], threshold: float) -> float:
    """Return the mean of both sides' shares that a threshold decides rightly."""
    kept = sum(asked.measure >= threshold for asked in ours) / len(ours)
    refused = sum(asked.measure < threshold for asked in theirs) / len(theirs)
    return (kept + refused) / 2


def chosen(ours: Sequence[Asked], theirs: Sequence[Asked]) -> float:
    """Return the threshold that decides best, in steps of a twentieth."""
    return max((step / 20 for step in range(60)), key=lambda t: balanced(ours, theirs, t))


def main(arguments: list[str]) -> None:
    """Print how lines are found, and the threshold by cross-validation."""
    base = starter.pages(Path(arguments[0])) if len(arguments) == 1 else []
    if not base:
        print("skipped: give the folder of the entries")
        return
    ours, theirs = [], []
    for words in CUTS:
        found, odd = lines(base, words), strangers(base, words)
        ranks = [asked.rank for asked in found]
        first, ten = sum(r == 1 for r in ranks), sum(r is not None for r in ranks)
        print(
            f"{words or 'all'} words: {len(found)} queries, first {first / len(found):.3f}, "
            f"among ten {ten / len(found):.3f}, "
            f"mean reciprocal rank {sum(1 / r for r in ranks if r) / len(found):.3f}"
        )
        ours += [asked for asked in found if asked.rank is not None]
        theirs += odd
    held_out = []
    for fold in range(FOLDS):
        best = chosen([a for a in ours if a.fold != fold], [a for a in theirs if a.fold != fold])
        mine, odd = ([a for a in side if a.fold == fold] for side in (ours, theirs))
        held_out.append((best, balanced(mine, odd, best)))
    print("thresholds of the parts:", *(f"{best:.2f}" for best, _ in held_out))
    print(f"decided rightly, held out: {sum(right for _, right in held_out) / FOLDS:.3f}")
    print(f"best on all: {chosen(ours, theirs):.2f}; in use: {confidence.THRESHOLD:.2f}")
    for side, asked in (("found", ours), ("everyday", theirs)):
        sure = sum(a.measure >= confidence.THRESHOLD for a in asked) / len(asked)
        print(f"confident at the one in use: {side} {sure:.3f} of {len(asked)}")


if __name__ == "__main__":
    main(sys.argv[1:])
