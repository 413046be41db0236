"""Rules on what is computed with: symptoms, causes, checks and fixes of the front matter."""

from collections.abc import Iterator

from kb.entries import symptoms
from kb.entries.case import Case
from kb.entries.model import WORST_FACTOR, Chances, Entry, Fix, Swap
from kb.entries.source import Finding
from kb.entries.words import Chance, Disruption

CHECKS_LIMIT = 3
FIXES_LIMIT = 7
WORDS_NEEDED = 2


def enough_symptoms(case: Case) -> Iterator[Finding]:
    """Find too few symptom lines."""
    count = len(case.entry.symptoms)
    if count < symptoms.LINES_NEEDED:
        mend = f"Write at least {symptoms.LINES_NEEDED}, in many voices."
        yield Finding(case.at("symptoms"), f"too few symptom lines: {count}. {mend}")


def symptoms_apart(case: Case) -> Iterator[Finding]:
    """Find symptom lines that say nearly the same."""
    for i, j, shared in symptoms.too_near(case.entry.symptoms):
        words = ", ".join(sorted(shared))
        message = f"it shares more than half of its words with line {case.at('symptoms', i)}"
        yield Finding(case.at("symptoms", j), f"{message} ({words}). Say it in other words.")


def symptoms_beside_title(case: Case) -> Iterator[Finding]:
    """Find that too many symptom lines repeat the title."""
    apart = symptoms.apart_from(case.entry.title, case.entry.symptoms)
    if apart < symptoms.APART_FROM_TITLE:
        mend = f"Write at least {symptoms.APART_FROM_TITLE} without any."
        message = f"symptom lines that share no word with the title: only {apart}."
        yield Finding(case.at("symptoms"), f"{message} {mend}")


def classes_named(case: Case) -> Iterator[Finding]:
    """Find that no equipment class is named."""
    if not case.entry.classes:
        yield Finding(1, "no equipment class is named. Add 'classes: [...]'.")


def causes_differ(case: Case) -> Iterator[Finding]:
    """Find causes of which none stands out."""
    if len({cause.likely for cause in case.entry.causes}) < WORDS_NEEDED:
        mend = "Name two or more causes, and not all with the same word."
        yield Finding(case.at("causes"), f"the causes don't differ in how likely they are. {mend}")


def cures_differ(case: Case) -> Iterator[Finding]:
    """Find fixes of which none stands out."""
    words = [chance for fix in case.entry.fixes for _cause, chance in fix.cures]
    if len(set(words)) < WORDS_NEEDED:
        mend = "Use two or more different words among them."
        yield Finding(case.at("fixes"), f"the fixes all cure equally well. {mend}")


def causes_cured(case: Case) -> Iterator[Finding]:
    """Find causes that nothing cures."""
    ways = [fix.cures for fix in case.entry.fixes]
    ways += [case.entry.swap.cures] if case.entry.swap else []
    cured = {cause for cures in ways for cause, chance in cures if chance != Chance.NEVER}
    for name in case.entry.cause_names:
        if name not in cured:
            mend = "Name it in the 'cures' of a fix or of the swap, or drop it."
            yield Finding(case.at("causes"), f"nothing cures '{name}'. {mend}")


def few_checks(case: Case) -> Iterator[Finding]:
    """Find more checks than somebody does before air."""
    for check in case.entry.checks[CHECKS_LIMIT:]:
        mend = f"Keep the {CHECKS_LIMIT} that tell the most."
        yield Finding(case.at("checks", check.key), f"it is one check too many. {mend}")


def checks_tell(case: Case) -> Iterator[Finding]:
    """Find checks that tell nothing, and ones that ask nothing."""
    for check in case.entry.checks:
        line = case.at("checks", check.key)
        answers = _over_all(check.yes_if, case.entry)
        if len(set(answers)) < WORDS_NEEDED:
            mend = "Give 'yes if' different words, or drop the check."
            yield Finding(line, f"the check '{check.key}' doesn't tell causes apart. {mend}")
        if not check.ask.endswith("?"):
            yield Finding(line, f"'{check.ask}' is no question. Ask so that yes or no answers it.")


def _over_all(chances: Chances, entry: Entry) -> list[Chance]:
    """Return a word for each cause; a cause left out counts as half."""
    told = dict(chances)
    return [told.get(name, Chance.HALF) for name in entry.cause_names]


def few_fixes(case: Case) -> Iterator[Finding]:
    """Find more fixes than somebody tries before air."""
    for fix in case.entry.fixes[FIXES_LIMIT:]:
        mend = f"Keep the best {FIXES_LIMIT}, or make it work for afterwards."
        yield Finding(case.at("fixes", fix.key), f"it is one fix too many. {mend}")


def harmless_first(case: Case) -> Iterator[Finding]:
    """Find fixes that stop the show before ones that disturb nobody."""
    demanded = _demanded(case.entry.fixes)
    hard: list[str] = []
    for fix in case.entry.fixes:
        early = [key for key in hard if key not in demanded[fix.key]]
        if fix.disruption == Disruption.NONE and early:
            mend = "Move it up, or say with 'after' that it must wait."
            message = (
                f"'{fix.key}' disturbs nobody and stands below '{early[0]}', which stops all."
            )
            yield Finding(case.at("fixes", fix.key), f"{message} {mend}")
        if fix.disruption == Disruption.WHOLE_SHOW:
            hard.append(fix.key)


def _demanded(fixes: tuple[Fix, ...]) -> dict[str, set[str]]:
    """Return what must come before each fix, over any number of steps."""
    before: dict[str, set[str]] = {}
    for fix in fixes:
        before[fix.key] = set(fix.after).union(*(before[key] for key in fix.after))
    return before


def worst_is_news(case: Case) -> Iterator[Finding]:
    """Find an 'at worst' that says what holds anyway."""
    timed: list[tuple[int, Fix | Swap]] = [
        (case.at("fixes", fix.key), fix) for fix in case.entry.fixes
    ]
    timed += [(case.at("swap"), case.entry.swap)] if case.entry.swap else []
    for line, act in timed:
        if act.at_worst_s == act.takes_s * WORST_FACTOR:
            message = "'at worst' is one and a half times 'takes', which holds anyway. Drop it."
            yield Finding(line, message)


RULES = (
    enough_symptoms,
    symptoms_apart,
    symptoms_beside_title,
    classes_named,
    causes_differ,
    cures_differ,
    causes_cured,
    few_checks,
    checks_tell,
    few_fixes,
    harmless_first,
    worst_is_news,
)
