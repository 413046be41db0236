import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from entry_strategies import AWKWARD, entries
from hypothesis import given, settings

from kb.entries import nodes, parse, render, wording
from kb.entries.model import Cause, Check, Entry, Fix, Section, Swap
from kb.entries.words import Chance, Likely

HERE = Path(__file__).parent
SHIPPED = sorted((HERE.parents[1] / "entries").glob("*-*.md"))
AREAS = tomllib.loads((HERE / "topics.toml").read_text(encoding="utf-8"))


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
