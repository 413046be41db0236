"""`entries words`: what the words of the entries mean."""

from typing import Annotated

import typer

from kb.cli import output
from kb.cli.options import Json
from kb.errors import NotFoundError

Typed = Annotated[str | None, typer.Argument(help="Only this word.", metavar="[WORD]")]


def add_to(group: typer.Typer) -> None:
    """Add this word to the group of entries."""
    group.command("words")(words)


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
