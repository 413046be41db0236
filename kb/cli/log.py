"""`log`: report a fault, and see at once what fits."""

from typing import Annotated, Any

import typer

from kb.cli import desk, fault_text, output
from kb.cli.fault_options import EffectOn, End, EntrySlug, Minutes, Reporter, SeenAt
from kb.cli.options import At, Json
from kb.errors import BusyError, InvalidError, Problem, StorageError
from kb.records.workspace import Workspace

_FITTING = 3


def add_to(app: typer.Typer) -> None:
    """Add the word `log`."""
    app.command("log")(log)


def log(
    words: Annotated[
        list[str],
        typer.Argument(help="The item's code or name, then what you see.", metavar="WORD"),
    ],
    place: SeenAt = None,
    effect: EffectOn = None,
    end: End = None,
    minutes_lost: Minutes = None,
    entry: EntrySlug = None,
    reporter: Reporter = None,
    at: At = None,
    key: Annotated[
        str | None, typer.Option(help="Your own mark: a retry logs nothing twice.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Log a fault, and see at once what fits.

    With --place all words are what you see; else the first is the item.

    Example: kitlore log CC-05 "five is greenish since power-up"
    """
    from kb.faults import log as faults

    here = desk.chosen()
    item = None if place else words[0]
    text = " ".join(words if place else words[1:])
    if not text.strip():
        raise InvalidError([Problem("text", "say what you see, after the item.")])
    values = desk.given(
        text=text,
        item=item,
        place=place,
        end=end,
        effect=effect,
        minutes_lost=minutes_lost,
        entry=entry,
        reporter=reporter,
        client_key=key,
        noticed_at=desk.moment(here, at) if at else None,
    )
    with desk.writing(here) as session:
        number = faults.log_fault(session, values, desk.now(here))
    _tell(number, _fitting(here, text, item), as_json=as_json)


def _tell(number: int, fitting: list[Any], *, as_json: bool) -> None:
    if as_json:
        listed = [{"id": hit.key, "title": hit.title} for hit in fitting]
        output.as_json({"fault": number, "fitting": listed})
    else:
        fault_text.logged(number, fitting)


def _fitting(here: Workspace, text: str, item: str | None) -> list[Any]:
    """Return the first entries that fit what was logged; what is logged stays logged anyway."""
    from kb.cli import finding

    try:
        found = finding.ask(here, text, item)
    except (BusyError, StorageError):
        return []
    return [hit for hit in found.hits if hit.kind == "entry"][:_FITTING]
