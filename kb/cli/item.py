"""`item`: add, change, move, swap, set aside, retire, merge."""

from typing import Annotated

import typer

from kb.cli import desk, item_text, new_label, output
from kb.cli.options import AnyLimit, At, ItemName, Json, Offset, Reason, Seen, Sure
from kb.errors import InvalidError, Problem
from kb.records.kinds import ItemState

_FAULTS = 5
_Model = Annotated[str | None, typer.Option(help="Its model, by name.")]
_Place = Annotated[str | None, typer.Option(help="Where it lies: name, path or code.")]
_Batch = Annotated[str | None, typer.Option(help="What it was bought together with.")]
_Serial = Annotated[str | None, typer.Option(help="The maker's serial number.")]
_InService = Annotated[str | None, typer.Option(help="The day it went into use.")]
_Bought = Annotated[str | None, typer.Option(help="The day it was bought.")]
_Price = Annotated[str | None, typer.Option(help="What it cost, like 980 or 12.50.")]
_Supplier = Annotated[str | None, typer.Option(help="Who sold it.")]
_Warranty = Annotated[
    str | None, typer.Option("--warranty-until", help="The last day of the warranty.")
]
_Note = Annotated[str | None, typer.Option(help="Anything else.")]


def add_to(app: typer.Typer) -> None:
    """Add the word `item`."""
    group = typer.Typer(help="Devices, cables and drives, one by one.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("see", see),
        ("add", add),
        ("change", change),
        ("move", move),
        ("swap", swap),
        ("relabel", new_label.relabel),
        ("state", state),
        ("retire", retire),
        ("merge", merge),
    ):
        group.command(name)(command)
    app.add_typer(group, name="item")


def list_(
    words: Annotated[
        list[str] | None, typer.Argument(help="Only what has all of these.", metavar="WORD")
    ] = None,
    model: Annotated[str | None, typer.Option(help="Only of this model.")] = None,
    equipment_class: Annotated[
        str | None, typer.Option("--class", help="Only of this class: cable, recorder ...")
    ] = None,
    place: Annotated[str | None, typer.Option(help="Only what lies here, or in it.")] = None,
    state: Annotated[ItemState | None, typer.Option(help="Only these; else all in use.")] = None,
    limit: AnyLimit = None,
    offset: Offset = 0,
    as_json: Json = False,
) -> None:
    """List the items in use, by name.

    Example: kitlore item list --class cable --place "drawer C1"
    """
    from kb.gear import views

    values = desk.given(
        text=" ".join(words or []) or None,
        model=model,
        equipment_class=equipment_class,
        place=place,
        state=state,
    )
    with desk.reading(desk.chosen()) as session:
        lines = views.item_lines(session, values, limit, offset)
    if as_json:
        output.as_json(lines)
    else:
        item_text.lines(lines)


def see(item: ItemName, as_json: Json = False) -> None:
    """Show an item: where it lies, what it joins, what was wrong.

    Example: kitlore item see CC-05
    """
    from kb.faults import views
    from kb.gear import pages

    here = desk.chosen()
    now, hold_days = desk.now(here), here.settings.hold_days
    with desk.reading(here) as session:
        page = pages.item_page(session, item)
        code = page.line.code
        faults = views.fault_lines(session, now, hold_days, item=code, limit=_FAULTS)
    if as_json:
        output.as_json({**vars(page), "faults": faults})
    else:
        item_text.page(page, faults, here.settings)


def add(
    name: Annotated[str, typer.Argument(help="What the crew calls it.", metavar="NAME")],
    model: _Model = None,
    place: _Place = None,
    batch: _Batch = None,
    serial: _Serial = None,
    in_service: _InService = None,
    bought: _Bought = None,
    price: _Price = None,
    supplier: _Supplier = None,
    warranty_until: _Warranty = None,
    note: _Note = None,
    code: Annotated[str | None, typer.Option(help="On a label printed ahead.")] = None,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Add an item; a code is drawn for its label, or --code taken.

    Example: kitlore item add CC-09 --model "Tern 14" --place "Control room"
    """
    from kb.gear import codes, items

    here = desk.chosen()
    values = desk.given(
        name=name,
        model=model,
        place=place,
        batch=batch,
        serial=serial,
        in_service=in_service,
        bought=bought,
        price=price,
        supplier=supplier,
        warranty_until=warranty_until,
        note=note,
    )
    with desk.writing(here) as session:
        drawn = items.add_item(session, values, desk.done_at(here, at), code=code)
    if as_json:
        output.as_json({"code": drawn})
        return
    output.say(f"{name} has the code {codes.shown(drawn)}.")
    if not code:
        output.say(f"Its label: kitlore label {drawn} --out label.pdf")


def change(
    item: ItemName,
    name: Annotated[str | None, typer.Option(help="The new name.")] = None,
    model: _Model = None,
    place: _Place = None,
    batch: _Batch = None,
    serial: _Serial = None,
    in_service: _InService = None,
    bought: _Bought = None,
    price: _Price = None,
    supplier: _Supplier = None,
    warranty_until: _Warranty = None,
    note: _Note = None,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Change what is kept of an item; an empty text empties a field.

    Example: kitlore item change CC-09 --serial 4417-0032 --note ""
    """
    from kb.gear import items

    here = desk.chosen()
    values = desk.changes(
        name=name,
        model=model,
        place=place,
        batch=batch,
        serial=serial,
        in_service=in_service,
        bought=bought,
        price=price,
        supplier=supplier,
        warranty_until=warranty_until,
        note=note,
    )
    with desk.writing(here) as session:
        items.change_item(session, item, values, desk.done_at(here, at), seen)
    output.say(f"{name or item} is changed.")


def move(
    item: ItemName,
    place: Annotated[
        str, typer.Argument(help="Where it lies now: name, path or code.", metavar="PLACE")
    ],
    reason: Reason = None,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Put an item somewhere; where it lay before stays known.

    Example: kitlore item move CC-05 "Workshop and store" --reason "hinge loose"
    """
    from kb.gear import items

    here = desk.chosen()
    with desk.writing(here) as session:
        items.move_item(session, item, place, desk.done_at(here, at), reason, seen)
    output.say(f"{item} lies in {place}.")


def swap(
    item: ItemName,
    spare: Annotated[str, typer.Argument(help="What comes in: code or name.", metavar="SPARE")],
    place: Annotated[
        str | None, typer.Option(help="Where the item goes; else where the spare lay.")
    ] = None,
    sure: Sure = False,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Put a spare in the place of an item and on its links.

    Example: kitlore item swap CC-05 CC-07 --place "Workshop and store"
    """
    from kb.gear import swapping

    here = desk.chosen()
    with desk.writing(here) as session:
        asked = swapping.Asked(place, sure)
        when = desk.done_at(here, at)
        moved = swapping.swap_item(session, item, spare, when, seen, asked)
    links = "1 link" if moved == 1 else f"{moved} links"
    output.say(f"{spare} is in the place of {item} now; {links} moved with it.")


def state(
    item: ItemName,
    words: Annotated[list[str], typer.Argument(metavar="WORD", help="fit, doubtful, set aside.")],
    reason: Reason = None,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Say whether an item may be used: fit, doubtful or set aside.

    Example: kitlore item state HD-04 set aside --reason "picture drops out"
    """
    word = " ".join(words).casefold()
    if word == ItemState.RETIRED:
        raise InvalidError([Problem("state", f"use 'kitlore item retire {item}' for that.")])
    _set_state(item, word, reason, at, seen)


def retire(
    item: ItemName,
    reason: Annotated[str, typer.Option(help="Why it's out of use for good.")],
    at: At = None,
    seen: Seen = None,
) -> None:
    """Take an item out of use for good.

    Its history stays, its name becomes free. One that was retired by a slip is taken back by
    'kitlore item state CODE fit --at' with the same time.

    Example: kitlore item retire HD-04 --reason "inner conductor broken"
    """
    _set_state(item, ItemState.RETIRED, reason, at, seen)


def merge(
    item: ItemName,
    into: Annotated[
        str, typer.Argument(help="The item that stays: code or name.", metavar="INTO")
    ],
    at: At = None,
) -> None:
    """Say that two records are one thing.

    Both codes lead to the one that stays.

    Example: kitlore item merge "laptop 3" CC-03
    """
    from kb.gear import items

    here = desk.chosen()
    with desk.writing(here) as session:
        items.merge_item(session, item, into, desk.done_at(here, at))
    output.say(f"{item} is one with {into} now.")


def _set_state(item: str, word: str, reason: str | None, at: str | None, seen: int | None) -> None:
    from kb.gear import items

    here = desk.chosen()
    with desk.writing(here) as session:
        numbers = items.set_state(session, item, word, desk.done_at(here, at), reason, seen)
    listed = ", ".join(str(number) for number in numbers)
    ended = "ended" if word == ItemState.RETIRED else "stand again"
    output.say(f"{item} is {word}.{f' Links {listed} {ended}.' if numbers else ''}")
