"""`init`, `settings`, `backup`, `restore`, `check`: the folder a crew works in."""

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from kb import checking, clock
from kb.cli import desk, failures, output
from kb.cli.options import Json
from kb.errors import InvalidError, KitloreError, Problem
from kb.records import settings as setting_file
from kb.records import workspace
from kb.records.settings import Settings
from kb.records.workspace import Workspace


def add_to(app: typer.Typer) -> None:
    """Add the words of this module."""
    app.command("init")(init)
    app.command("settings")(settings)
    app.command("backup")(backup)
    app.command("restore")(restore)
    app.command("check")(check)


def init(
    folder: Annotated[Path, typer.Argument(help="A new or empty folder.", metavar="FOLDER")],
    zone: Annotated[str | None, typer.Option(help="IANA time zone; else the machine's.")] = None,
    log_began: Annotated[
        str | None, typer.Option(help="From which day every fault is written down; else today.")
    ] = None,
    database: Annotated[
        str | None, typer.Option(help="URL of a PostgreSQL database; else one in the folder.")
    ] = None,
) -> None:
    """Make a new workspace with the starter base of entries.

    Example: kitlore init studio --zone Europe/London --log-began 2026-01-01
    """
    from kb.exchange import starting

    workspace.require_free(folder)
    chosen = checking.check(
        Settings,
        {
            "zone": zone or _asked("Time zone", _machine_zone()),
            "log_began": log_began or _asked("Log began", f"{clock.now():%Y-%m-%d}"),
            "database": database,
        },
    )
    with workspace.building(folder, chosen) as made:
        entries = starting.start(made, desk.named() or desk.login(), clock.now())
    output.say(
        f"{folder} is ready: zone {chosen.zone}, log from {chosen.log_began}, {entries} entries."
    )
    output.say(f'Next: cd {folder}; kitlore find "no sound"; kitlore item add --help')


def settings(
    pairs: Annotated[list[str] | None, typer.Argument(metavar="NAME=VALUE")] = None,
    as_json: Json = False,
) -> None:
    """Show the settings, or change some.

    Example: kitlore settings host=192.168.10.20:8017 minute_cost=1200
    """
    place = desk.chosen()
    if pairs:
        values = {**place.settings.model_dump(), **_pairs(pairs)}
        chosen = checking.check(Settings, values)
        if chosen.host != place.settings.host:
            _require_host(chosen.host)
        setting_file.save(place.folder, chosen)
        _forget_evidence(place, chosen)
        if chosen.host != place.settings.host:
            _warn_of_host(place.settings.host, chosen.host)
    else:
        chosen = place.settings
    if as_json:
        output.as_json(chosen.model_dump())
    else:
        output.facts({name: "" if value is None else value for name, value in chosen})


def backup(
    to: Annotated[Path | None, typer.Option(help="A file; else one in the workspace.")] = None,
) -> None:
    """Copy the whole workspace into one file, while others work.

    Example: kitlore backup --to /mnt/stick/studio.zip
    """
    from kb.cli import export
    from kb.records import backup as copies

    place = desk.chosen()
    written = copies.make(place, desk.counted(place), to)
    output.say(f"Copied and verified: {written}")
    beside = written.with_name("kitlore.html")
    export.write(place, beside)
    output.say(f"To read where no machine runs: {beside}")


def restore(
    file: Annotated[Path, typer.Argument(help="A backup file.", metavar="FILE")],
    into: Annotated[
        Path | None, typer.Option(help="A new folder; else the workspace, its present state kept.")
    ] = None,
    database: Annotated[
        str | None, typer.Option(help="For a new folder: URL of an empty PostgreSQL database.")
    ] = None,
) -> None:
    """Bring back a backup.

    Example: kitlore restore studio.zip --into studio-again
    """
    from kb.records import restoring

    folder = into or desk.folder()
    replaced = restoring.restore(file, folder, clock.now(), database)
    output.say(f"{file} is back in {folder}.")
    if replaced:
        output.say(f"What stood there before is kept in {replaced.kept}.")
    if replaced and replaced.all_ended:
        output.say(
            "It was damaged, so nobody can tell which phones and scripts were ended: now all are. "
            "Pair the phones again ('kitlore access pair NAME'), give scripts new tokens."
        )


def check(as_json: Json = False) -> None:
    """Verify the database and the folder.

    Exit code 1 where something is damaged.

    Example: kitlore check
    """
    from kb.records import checkup

    found = checkup.check(desk.folder())
    damaged = any(finding.damage for finding in found)
    if as_json:
        output.as_json(found)
    else:
        for finding in found:
            output.say(f"- {finding}")
        output.say("Something is damaged." if damaged else "Nothing is damaged.")
    if damaged:
        raise typer.Exit(failures.NO)


def _require_host(host: str) -> None:
    from kb.labels import qr

    qr.require_host(host)


def _warn_of_host(old: str, new: str) -> None:
    """Say what becomes of the labels that are printed already, and what can be done safely."""
    from kb.labels import qr

    output.say(f"Labels printed before carry the old host, {old}. Safe choices:")
    output.say(f"- Let {old} lead to this machine as well (in the router): every label goes on.")
    output.say("- Print the labels anew: kitlore label --all, kitlore label --places.")
    output.say(
        "- Take it back: the codes are the same, so nothing is lost. Codes typed or scanned into "
        "the search field open their records, whatever host stands before them."
    )
    doubt = qr.doubt(new)
    if doubt:
        output.say(doubt)


def _forget_evidence(place: Workspace, chosen: Settings) -> None:
    """Have the entries indexed anew where what is known of their fixes is counted otherwise."""
    from kb.search import index

    before = place.settings
    if (chosen.hold_days, chosen.today) != (before.hold_days, before.today):
        index.forget(place.index, "entries")


def _pairs(typed: list[str]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for one in typed:
        name, equals, value = one.partition("=")
        if not equals:
            raise InvalidError([Problem(one, "write it as NAME=VALUE.")])
        values[name.strip()] = value.strip()
        if name.strip() == "database":
            raise InvalidError([Problem("database", "it's chosen once, by 'kitlore init'.")])
    return values


def _asked(question: str, otherwise: str) -> str:
    """Ask where somebody sits at a terminal; else take what is usual."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return otherwise
    return str(typer.prompt(question, default=otherwise))


def _machine_zone() -> str:
    """Return the machine's IANA zone, UTC where it doesn't tell."""
    try:
        place = Path("/etc/localtime").resolve()
        name = str(place).partition("zoneinfo/")[2]
        checking.check(Settings, {"zone": name})
    except (OSError, KitloreError):
        return "UTC"
    return name
