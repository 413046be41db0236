import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import trade
from kb.entries import nodes, parse, render, wording
from kb.entries.model import Cause, Check, Entry, Fix, Section, Swap
from kb.entries.words import Area, Chance, Disruption, Likely

HERE = Path(__file__).parent
SHIPPED = sorted((HERE.parents[1] / "entries").glob("*-*.md"))
AREAS = tomllib.loads((HERE / "topics.toml").read_text(encoding="utf-8"))

AWKWARD = (HERE / "awkward.txt").read_text(encoding="utf-8").split("\n")[:-1]

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
    """Return entries over texts that YAML and Markdown would like to take for something else."""
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


@pytest.mark.parametrize("loader", sorted({nodes.LOADER, yaml.SafeLoader}, key=str))
@pytest.mark.slow
@given(entry=entries())
@settings(max_examples=150, deadline=None)
def test_an_entry_comes_back_from_its_text(loader: type[yaml.SafeLoader], entry: Entry) -> None:
    text = render.to_markdown(entry)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nodes, "LOADER", loader)
        parsed = parse.parse(text)
    assert parsed.findings == ()
    assert parsed.entry == entry
    assert render.to_markdown(parsed.entry) == text


@pytest.mark.parametrize("text", sorted({wording.tidy(text) for text in AWKWARD} - {""}))
def test_an_awkward_text_comes_back_from_every_place(sample: str, text: str) -> None:
    plain = parse.entry_from(sample)
    section = Section((text,), (text, "b", text), text, text)
    cures = ((text, Chance.HALF),)
    entry = Entry(
        "a",
        text,
        plain.area,
        (),
        (text,),
        (Cause(text, Likely.OFTEN),),
        (Check("a", text, 1, cures),),
        (Fix("a", text, 1, cures=cures, section=section),),
        Swap(text, 1, None, cures, section),
        (),
        (text, "b"),
        (text, text),
        section,
        section,
    )
    assert parse.entry_from(render.to_markdown(entry)) == entry


def test_the_sample_is_in_house_form(sample: str) -> None:
    assert render.to_markdown(parse.entry_from(sample)) == sample


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_entry_is_in_house_form(path: Path) -> None:
    text = path.read_bytes().decode()
    assert render.to_markdown(parse.entry_from(text)) == text


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_entry_stands_under_its_name_and_area(path: Path) -> None:
    entry = parse.entry_from(path.read_text(encoding="utf-8"))
    assert entry.slug == path.stem
    assert entry.slug in AREAS[entry.area]


def test_what_is_empty_is_left_out(edited: Callable[[str, str], str]) -> None:
    text = edited("Half of these are a plug that looks seated and is not.\n\n", "")
    assert "\n---\n## First acts\n" in text
    assert render.to_markdown(parse.entry_from(text)) == text
