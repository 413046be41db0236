"""`entries`: the troubleshooting base and its files."""

import difflib
from pathlib import Path
from typing import Annotated, Any

import typer

from kb.cli import desk, entries_wanted, failures, output
from kb.cli.options import Json, Seen
from kb.entries.words import Area
from kb.errors import NotFoundError
from kb.records.kinds import EntryStatus

Slug = Annotated[str, typer.Argument(help="The entry's slug.", metavar="SLUG")]
Folder = Annotated[Path, typer.Argument(help="A folder of NAME.md files.", metavar="FOLDER")]


def add_to(app: typer.Typer) -> None:
    """Add the word `entries`."""
    group = typer.Typer(help="The troubleshooting base and its files.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("see", see),
        ("import", import_),
        ("export", export),
        ("lint", lint),
        ("save", save),
        ("withdraw", withdraw),
        ("accept", accept),
        ("revisions", revisions),
        ("starter", starter),
    ):
        group.command(name)(command)
    entries_wanted.add_to(group)
    app.add_typer(group, name="entries")


def list_(
    area: Annotated[
        Area | None,
        typer.Option(help="Only of this area, like Audio.", case_sensitive=False, metavar="AREA"),
    ] = None,
    status: Annotated[EntryStatus | None, typer.Option(help="Only these.")] = None,
    as_json: Json = False,
) -> None:
    """List the entries.

    Example: kitlore entries list --area Audio
    """
    from kb.entries import library

    with desk.reading(desk.chosen()) as session:
        lines = library.entry_lines(session, area, status)
    if as_json:
        output.as_json(lines)
        return
    output.table(
        ("Slug", "Title", ">Rev", "Status"),
        [(one.slug, one.title, one.revision, one.status) for one in lines],
        "No entry.",
    )


def see(
    slug: Slug,
    markdown: Annotated[bool, typer.Option("--markdown", help="Print the Markdown.")] = False,
    as_json: Json = False,
) -> None:
    """Show an entry with all its steps.

    Example: kitlore entries see control-not-recognised
    """
    from kb.entries import library, render

    with desk.reading(desk.chosen()) as session:
        page = library.entry_page(session, slug)
    if as_json:
        output.as_json(page)
    elif markdown:
        typer.echo(page.text, nl=False)
    else:
        typer.echo(render.to_text(page.entry, output.width()))


def import_(folder: Folder, as_json: Json = False) -> None:
    """Take in every entry of a folder, or none where one is broken.

    An entry that was changed on both sides is shown and stays as it is here; exit code 1.

    Example: kitlore entries import our-entries
    """
    from kb.entries import folders

    place = desk.chosen()
    with desk.writing(place) as session:
        taken = folders.import_folder(session, folder, desk.now(place))
        told = _conflicts(session, folder, taken.conflicts)
    folders.note_import(folder, taken)
    if as_json:
        output.as_json(taken)
    else:
        _report(taken, told)
    if taken.conflicts:
        raise typer.Exit(failures.NO)


def export(folder: Folder) -> None:
    """Write every entry as a file.

    Example: kitlore entries export our-entries
    """
    from kb.entries import folders

    with desk.reading(desk.chosen()) as session:
        written = folders.export_folder(session, folder)
    output.say(f"{output.counted(len(written), 'entry', 'entries')} written to {folder}.")


def lint(folder: Folder) -> None:
    """Look through a folder of entries.

    Each line tells file, line, what is wrong and the mend. Exit code 1 where something was found.

    Example: kitlore entries lint entries
    """
    from kb.entries import folders
    from kb.records import workspace

    shipped = frozenset(path.stem for path in workspace.starter("entries").glob("*.md"))
    found = list(folders.lint_folder(folder, shipped))
    for line in found:
        typer.echo(line)
    if found:
        raise typer.Exit(failures.NO)
    output.say("Nothing to mend.")


def save(
    file: Annotated[Path, typer.Argument(help="One entry's Markdown file.", metavar="FILE")],
    note: Annotated[str | None, typer.Option(help="Why it was changed.")] = None,
    draft: Annotated[
        bool, typer.Option("--draft", help="A new one, left out of the search till accepted.")
    ] = False,
    seen: Seen = None,
) -> None:
    """Save one entry as its newest revision.

    Example: kitlore entries save audio-hum.md --note "isolator added"
    """
    from kb.entries import folders, library

    place = desk.chosen()
    text = folders.read_file(file)
    with desk.writing(place) as session:
        if draft:
            line = library.add_draft(session, text, desk.now(place), note)
        else:
            line = library.save_entry(session, text, desk.now(place), note, seen)
    told = "a draft, " if draft else ""
    output.say(f"{line.slug} is saved as {told}revision {line.revision} (version {line.version}).")


def withdraw(slug: Slug, seen: Seen = None) -> None:
    """Take an entry out of the search.

    Its history stays, and no starter brings it back.

    Example: kitlore entries withdraw audio-hum
    """
    _set_status(slug, EntryStatus.WITHDRAWN, seen)


def accept(slug: Slug, seen: Seen = None) -> None:
    """Put a draft or a withdrawn entry into the search.

    Example: kitlore entries accept audio-hum
    """
    _set_status(slug, EntryStatus.ACCEPTED, seen)


def revisions(
    slug: Slug,
    difference: Annotated[
        int | None, typer.Option("--diff", help="Show what this revision changed.", min=1)
    ] = None,
    as_json: Json = False,
) -> None:
    """List who changed an entry and when, or show one change.

    Example: kitlore entries revisions audio-hum --diff 2
    """
    from kb.entries import library

    place = desk.chosen()
    with desk.reading(place) as session:
        found = library.revisions(session, slug)
    if as_json:
        output.as_json(found)
    elif difference:
        texts = {one.number: one.text for one in found}
        if difference not in texts:
            raise NotFoundError("revision", str(difference), f"{slug} has {len(found)}.")
        typer.echo(_diff(texts.get(difference - 1, ""), texts[difference]))
    else:
        zone = place.settings.timezone
        rows = [(r.number, output.local(r.at, zone), r.by, r.note) for r in found]
        output.table((">No", "When", "By", "Why"), rows, "No revision.")


def starter(as_json: Json = False) -> None:
    """Take in what this version of kitlore ships.

    The crew's own edits stay.

    Example: kitlore entries starter
    """
    from kb.entries import folders
    from kb.records import workspace

    place, folder = desk.chosen(), workspace.starter("entries")
    with desk.writing(place) as session:
        taken = folders.merge_starter(session, folder, desk.now(place))
        told = _conflicts(session, folder, taken.conflicts)
    if as_json:
        output.as_json(taken)
    else:
        _report(taken, told)


def _set_status(slug: str, status: EntryStatus, seen: int | None) -> None:
    from kb.entries import library

    with desk.writing(desk.chosen()) as session:
        library.set_status(session, slug, status, seen)
    output.say(f"{slug} is {status.value}.")


def _conflicts(session: Any, folder: Path, slugs: list[str]) -> str:  # noqa: ANN401 - late import
    """Return the differences of entries that were changed on both sides."""
    from kb.entries import folders, library

    parts = []
    for slug in slugs:
        here = library.entry_page(session, slug).text
        parts.append(f"{slug}\n{_diff(here, folders.read_file(folder / f'{slug}.md'))}")
    return "\n".join(parts)


def _report(taken: object, conflicts: str) -> None:
    told = {name: slugs for name, slugs in vars(taken).items() if slugs}
    for name, slugs in told.items():
        listed = "" if name == "same" else f": {', '.join(slugs)}"
        output.say(f"{name}: {len(slugs)}{listed}")
    if conflicts:
        output.say("Changed on both sides, so nothing was taken over (- here, + the file):")
        typer.echo(conflicts)


def _diff(old: str, new: str) -> str:
    lines = difflib.unified_diff(old.splitlines(), new.splitlines(), "here", "there", lineterm="")
    return "\n".join(lines)
