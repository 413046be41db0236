"""`entries words`, `entries thin`: what the words mean, and which entries lack something."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json
from kb.errors import NotFoundError

Typed = Annotated[str | None, typer.Argument(help="Only this word.", metavar="[WORD]")]


def add_to(group: typer.Typer) -> None:
    """Add these words to the group of entries."""
    group.command("words")(words)
    group.command("thin")(thin)


def words(word: Typed = None, as_json: Json = False) -> None:
    """Tell what the words of the entries mean.

    Example: kitlore entries words mix-minus
    """
    from kb.entries import folders, glossary, inline
    from kb.records import workspace

    known = folders.words(workspace.starter("entries"))
    found = [one for one in [glossary.find(known, word)] if one] if word else list(known)
    if word and not found:
        raise NotFoundError("word", word, "'kitlore entries words' lists those there are.")
    if as_json:
        told = [{"word": x.term, "also": x.also, "meaning": x.meaning} for x in found]
        output.as_json(told)
        return
    for one in found:
        also = f" (also {', '.join(one.also)})" if one.also else ""
        output.emphasised(f"{one.term}{also}")
        output.say(inline.inline_text(one.meaning), "  ")


def thin(as_json: Json = False) -> None:
    """List the entries that still lack something.

    Example: kitlore entries thin
    """
    from kb.entries import thin as lacking

    with desk.reading(desk.chosen()) as session:
        found = lacking.report(session)
    if as_json:
        output.as_json(found)
        return
    output.table(
        ("Entry", "Lacks", ">Tried here"),
        [(one.line.slug, "; ".join(one.lacks), one.tries) for one in found],
        "No entry lacks anything.",
    )
