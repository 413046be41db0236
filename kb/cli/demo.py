"""`demo`: the invented studio."""

from pathlib import Path
from typing import Annotated

import typer

from kb import clock
from kb.cli import desk, output
from kb.errors import StorageError
from kb.records import workspace
from kb.records.workspace import Workspace

DEFAULT = Path("thrennow-house")


def add_to(app: typer.Typer) -> None:
    """Add the word `demo`."""
    app.command("demo")(demo)


def demo(
    folder: Annotated[Path, typer.Argument(help="A new or empty folder.")] = DEFAULT,
    no_serve: Annotated[bool, typer.Option("--no-serve", help="Only build it.")] = False,
    port: Annotated[int, typer.Option(help="Where the pages are served.")] = 8017,
) -> None:
    """Build an invented studio, then serve its pages.

    It has eighteen months of history.

    Example: kitlore demo --no-serve
    """
    if _stands(folder):
        output.say(f"The studio is in {folder} already. Nothing was changed.")
    else:
        _build(folder)
    if no_serve:
        output.say("Three things to try:")
        for who, call in _CALLS:
            output.say(f"- {who}: kitlore -w {folder} {call}")
        return
    from kb.cli import listening, serve
    from kb.crew.hosts import Reach

    place = workspace.opened(folder)
    serve.run(place, listening.Served(Reach.HERE, port), _ways(place))


_CALLS = (
    ("the tech", 'log CC-05 "everything looks pink"'),
    ("somebody new", 'find "no sound from the guest"'),
    ("the lead", "review models"),
)


def _ways(place: Workspace) -> tuple[tuple[str, str], ...]:
    """Return what each of the three may try on the pages."""
    from kb.gear import pages

    with desk.reading(place) as session:
        code = pages.item_page(session, "CC-05").line.code
    return (
        ("the tech, as if the label was scanned, press 'Something is wrong'", f"/{code}"),
        ("somebody new, in the middle of a set-up", "/?q=everything+looks+pink"),
        ("the lead, before buying", "/review"),
    )


def _build(folder: Path) -> None:
    from kb.demo import build, story

    told = story.load()
    settings = build.settings(told)
    with workspace.building(folder, settings) as made:
        build.fill(made, told, made.now(clock.now()))
    output.say(
        f"{folder} holds {told.house.name}: {len(told.items)} items, {len(told.shows)} "
        f"shows, {len(told.faults)} faults; its clock stands on {told.house.last_day}."
    )


def _stands(folder: Path) -> bool:
    """Return whether the demo stands in a folder already; something else there is refused."""
    try:
        workspace.require_free(folder)
    except StorageError:
        if not (folder / "kitlore.toml").is_file():
            raise
        if workspace.opened(folder).settings.today is None:
            raise
        return True
    return False
