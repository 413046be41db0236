"""`find`: search by symptom."""

import json
import sys
from typing import Annotated

import typer

from kb.cli import desk, failures, find_text, finding, output
from kb.errors import InvalidError, KitloreError, Problem, StorageError
from kb.records.workspace import Workspace
from kb.search import narrowing, query, told
from kb.search.narrowing import Option, Question, Told
from kb.search.query import Answer


def add_to(app: typer.Typer) -> None:
    """Add the word `find`."""
    app.command("find")(find)


def find(
    words: Annotated[
        list[str] | None, typer.Argument(help="What you see or hear.", metavar="WORD")
    ] = None,
    item: Annotated[str | None, typer.Option(help="The thing at hand: its code or name.")] = None,
    area: Annotated[str | None, typer.Option(help="Put this area first; hides nothing.")] = None,
    stdin: Annotated[
        bool, typer.Option("--stdin", help="One query a line, plain or JSON.")
    ] = False,
    as_typed: Annotated[
        bool, typer.Option("--as-typed", help="Read no word as another one.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON.")] = False,
) -> None:
    """Search by what you see or hear, in your own words.

    The first answer comes with its fixes: steps, minutes, what they interrupt, how to see that
    it worked. Exit code 1 means that nothing was found.

    Example: kitlore find "everything looks pink"
    """
    place = desk.chosen()
    if stdin:
        _answer_lines(place)
        return
    text = " ".join(words or [])
    if not text.strip():
        raise InvalidError([Problem("words", "say what you see or hear.")])
    answers = Told(area=area or "")
    found = finding.ask(place, text, item, answers, as_typed=as_typed)
    asked = narrowing.question(found, answers)
    named = None if found.confident else _named(place, text)
    if not found.confident and named is None:
        _remember(place, text, item)
    if as_json:
        output.as_json(told.plain(found, asked))
    else:
        if named is not None:
            output.say(f"{named} is a thing: kitlore item see {named}")
        find_text.show(found, desk.now(place), place.settings.timezone)
        _narrow(place, text, item, asked)
    if not found.hits:
        raise typer.Exit(failures.NO)


def _narrow(place: Workspace, text: str, item: str | None, asked: Question | None) -> None:
    """Ask on a terminal what tells the entries apart, as long as it does; else only show it."""
    while asked is not None:
        find_text.show_question(asked)
        if not _is_terminal():
            return
        option = _chosen(asked)
        if option is None:
            return
        found = finding.ask(place, text, item, option.told)
        find_text.show(found, desk.now(place), place.settings.timezone)
        asked = narrowing.question(found, option.told)


def _is_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _chosen(asked: Question) -> Option | None:
    """Return the answer whose number is typed; None where none is."""
    typed = typer.prompt("Its number, or Enter to leave it", default="", show_default=False)
    number = int(typed) if typed.isdecimal() else 0
    return asked.options[number - 1] if 0 < number <= len(asked.options) else None


def _answer_lines(place: Workspace) -> None:
    """Answer each line of standard input with a line of JSON; a bad line gets its sentence."""
    from kb.search import similar  # worth its start for many lines; one cold search leaves it out

    finding.freshen(place)
    failed = False
    with query.opened(place.index, similar.meaning) as indexes:
        for line in filter(str.strip, sys.stdin):
            try:
                plain = told.plain(_answered(place, indexes, line))
            except KitloreError as error:
                plain, failed = {"query": line.strip(), "error": error.message}, True
            typer.echo(json.dumps(plain, ensure_ascii=False))
    if failed:
        raise typer.Exit(failures.WRONG_CALL)


def _answered(place: Workspace, indexes: query.Opened, line: str) -> Answer:
    text, item, area = _read_line(line)
    wish = finding.wish(place, item, area)
    found = finding.require(place, query.answer(indexes, text, wish))
    return narrowing.narrowed(found, Told(area=area or ""))


def _read_line(line: str) -> tuple[str, str | None, str | None]:
    """Return query, item and area of a line: plain text, or an object of JSON."""
    if not line.lstrip().startswith("{"):
        return line.strip(), None, None
    try:
        asked = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise InvalidError([Problem("line", f"it is no JSON: {error}.")]) from None
    if not isinstance(asked.get("query"), str):
        raise InvalidError([Problem("query", "it is missing, or no text.")])
    for name in ("item", "area"):
        if not isinstance(asked.get(name), str | None):
            raise InvalidError([Problem(name, "it is no text.")])
    return asked["query"], asked.get("item"), asked.get("area")


def _named(place: Workspace, text: str) -> str | None:
    """Return the name of the thing that was typed, not what is seen; None for other words.

    Where the base can't be opened the search has answered all the same.
    """
    from kb.gear import meant

    try:
        with desk.reading(place) as session:
            thing = meant.thing(session, text)
    except StorageError:
        return None
    return thing.name if thing else None


def _remember(place: Workspace, text: str, item: str | None) -> None:
    """Keep a search without a sure answer; a base that can't be written is no reason to fail."""
    from kb.search import unanswered

    try:
        with desk.writing(place) as session:
            unanswered.keep(session, text, desk.now(place), item)
    except KitloreError:
        return
