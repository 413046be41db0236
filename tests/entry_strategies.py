"""Entries by chance, over texts that YAML and Markdown would like to take for something else."""

from pathlib import Path

from hypothesis import strategies as st

from kb import trade
from kb.entries import wording
from kb.entries.model import Cause, Check, Entry, Fix, Section, Swap
from kb.entries.words import Area, Chance, Disruption, Likely

AWKWARD = (
    (Path(__file__).parent / "entries" / "awkward.txt")
    .read_text(encoding="utf-8")
    .split("\n")[:-1]
)

PLAIN = st.text(st.characters(exclude_categories=["C"]), max_size=12)
LINES = st.one_of(
    st.sampled_from(AWKWARD), PLAIN, st.builds("{}{}".format, st.sampled_from(AWKWARD), PLAIN)
).filter(lambda text: bool(wording.tidy(text)))
KEYS = st.sampled_from(["a", "b-c", "off", "null", "12", "1-2", "first-acts", "true", "x9"])
SECONDS = st.integers(1, 600)


def several(texts: st.SearchStrategy[str], least: int = 0) -> st.SearchStrategy[tuple[str, ...]]:
    """Return up to three texts that stay apart when they are tidied."""
    return st.lists(texts, min_size=least, max_size=3, unique_by=wording.tidy).map(tuple)


SECTIONS = st.builds(
    Section, several(LINES), several(LINES), st.just("") | LINES, st.just("") | LINES
)
Chances = tuple[tuple[str, Chance], ...]


@st.composite
def chances(draw: st.DrawFn, names: tuple[str, ...], least: int = 0) -> Chances:
    """Return words for some of the causes."""
    if not names:
        return ()
    chosen = draw(st.lists(st.sampled_from(names), min_size=least, unique=True))
    return tuple((name, draw(st.sampled_from(Chance))) for name in chosen)


@st.composite
def fixes(draw: st.DrawFn, names: tuple[str, ...]) -> tuple[Fix, ...]:
    """Return fixes of which some must come after earlier ones."""
    made: list[Fix] = []
    for key in draw(st.lists(KEYS, min_size=1, max_size=3, unique=True)):
        takes, earlier = draw(SECONDS), [fix.key for fix in made]
        fix = Fix(
            key,
            draw(LINES),
            takes,
            draw(st.none() | st.integers(takes, 2 * takes)),
            draw(st.sampled_from(Disruption)),
            draw(chances(names)),
            tuple(draw(st.lists(st.sampled_from(earlier), unique=True))) if earlier else (),
            draw(SECTIONS),
        )
        made.append(fix)
    return tuple(made)


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    """Return entries that hold such texts wherever a text may stand."""
    names = draw(several(LINES))
    checks = tuple(
        Check(key, draw(LINES), draw(SECONDS), draw(chances(names, least=1)))
        for key in draw(several(KEYS))
        if names
    )
    swap = st.builds(Swap, LINES, SECONDS, st.none(), chances(names), SECTIONS)
    return Entry(
        slug=draw(KEYS),
        title=draw(LINES),
        area=draw(st.sampled_from(Area)),
        classes=draw(several(st.sampled_from(trade.CLASSES))),
        symptoms=draw(several(LINES, least=1)),
        causes=tuple(Cause(name, draw(st.sampled_from(Likely))) for name in names),
        checks=checks,
        fixes=draw(fixes(names)),
        swap=draw(st.none() | swap),
        confused_with=draw(several(KEYS)),
        sources=draw(several(LINES)),
        about=draw(several(LINES)),
        first_acts=draw(SECTIONS),
        afterwards=draw(SECTIONS),
    )
