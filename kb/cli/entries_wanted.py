"""`entries wanted`, `answer`, `draft`: what to write next."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json

Slug = Annotated[str, typer.Argument(help="The entry's slug.", metavar="SLUG")]


def add_to(group: typer.Typer) -> None:
    """Add these words to the group of entries."""
    group.command("wanted")(wanted)
    group.command("answer")(answer)
    group.command("draft")(draft)


def wanted(as_json: Json = False) -> None:
    """List what was searched and not found, most asked first.

    Example: kitlore entries wanted
    """
    from kb.search import unanswered

    place = desk.chosen()
    with desk.reading(place) as session:
        lines = unanswered.wanted(session)
    if as_json:
        output.as_json(lines)
        return
    rows = [(x.times, output.local(x.last_at, place.settings.timezone), x.query) for x in lines]
    output.table((">Times", "Last", "Searched"), rows, "Every search found something.")


def answer(
    query: Annotated[
        str, typer.Argument(help="The search, as 'entries wanted' shows it.", metavar="QUERY")
    ],
    slug: Slug,
) -> None:
    """Say that an entry answers a search now: it leaves the list.

    Example: kitlore entries answer "prompter speed" prompter-speed
    """
    from kb.search import unanswered

    with desk.writing(desk.chosen()) as session:
        times = unanswered.answer(session, query, slug)
    output.say(f"'{query}', asked {output.counted(times, 'time')}, is answered by {slug}.")


def draft(fault: Annotated[int, typer.Argument(help="A closed fault's number.", min=1)]) -> None:
    """Print a closed fault as the draft of an entry; 'entries save --draft' keeps it.

    Example: kitlore entries draft 87 > seats-reversed.md
    """
    from kb.faults import story

    place = desk.chosen()
    with desk.reading(place) as session:
        found = story.draft_of(session, fault, desk.now(place), place.settings.hold_days)
    typer.echo(found, nl=False)
