"""Items, models and places as tables of text: out to a spreadsheet, and in again, or not at all.

The columns are the fields of the drafts, so what comes in passes the same rules as what is typed.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import Draft, check
from kb.errors import InvalidError, KitloreError, NotFoundError, Problem, StorageError
from kb.exchange import csv_form
from kb.gear import items, lookup, models, places, views
from kb.gear.drafts import ItemDraft, ModelDraft, PlaceDraft
from kb.records import settings
from kb.records.kinds import ItemState
from kb.records.tables.gear import Item, Model

FILE_LIMIT = 5_000_000
# The columns that name another record, and what finds it.
_NAMING: dict[str, Callable[[Session, str], object]] = {
    "model": lookup.model,
    "place": lookup.place,
    "within": lookup.place,
}
_TYPED = ("name", "batch", "serial", "in_service", "bought", "supplier", "warranty_until", "note")


@dataclass(frozen=True)
class Table:
    """What there is of one kind.

    Attributes:
        draft: The class whose fields are the columns.
        rows: What gives each record as it would be typed.
        add: What adds one.
    """

    draft: type[Draft]
    rows: Callable[[Session], Iterable[Mapping[str, object]]]
    add: Callable[[Session, Mapping[str, Any], datetime], object]

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns' names."""
        return tuple(self.draft.model_fields)

    @property
    def required(self) -> list[str]:
        """The columns that must be there."""
        fields = self.draft.model_fields.items()
        return [name for name, field in fields if field.is_required()]


def give_out(session: Session, kind: str) -> str:
    """Return everything in use of a kind as comma-separated values.

    Args:
        session: The unit of work.
        kind: 'items', 'models' or 'places'.

    Raises:
        NotFoundError: There is no such kind.
    """
    table = _table(kind)
    rows = ({name: _cell(row[name]) for name in table.columns} for row in table.rows(session))
    return csv_form.written(table.columns, rows)


def take_in(session: Session, kind: str, text: str, at: datetime) -> int:
    """Add every row of a text, and return how many; after an error nothing may be kept.

    Args:
        session: The unit of work.
        kind: 'items', 'models' or 'places'.
        text: Comma-separated values, the columns on the first line.
        at: When.

    Raises:
        InvalidError: Naming line and column of everything that is wrong.
        NotFoundError: There is no such kind.
    """
    table = _table(kind)
    problems: list[Problem] = []
    rows = csv_form.read(text, table.columns, table.required)
    for row in rows:
        problems += _added(session, table, row, at)
    if problems:
        raise InvalidError(problems)
    return len(rows)


def read_file(path: Path) -> str:
    """Return the text of a file of comma-separated values.

    Raises:
        InvalidError: It's too long, or isn't UTF-8.
        StorageError: It can't be read.
    """
    try:
        with path.open("rb") as file:
            content = file.read(FILE_LIMIT + 1)
    except OSError as error:
        raise StorageError(f"{path} can't be read: {error.strerror}.", path) from error
    if len(content) > FILE_LIMIT:
        told = f"it has more than {FILE_LIMIT:,} bytes. Divide it into several files."
        raise InvalidError([Problem(str(path), told)])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        told = f"line {line}: it isn't UTF-8. Save it as CSV in UTF-8."
        raise InvalidError([Problem(str(path), told)]) from None


def write_file(path: Path, text: str) -> None:
    """Write a new file of comma-separated values, marked as UTF-8 for spreadsheet programs.

    Raises:
        StorageError: It's there already, or can't be written.
    """
    if path.exists():
        raise StorageError(f"{path} is there already. Nothing was changed. Name another.", path)
    settings.write_whole(path, text.encode("utf-8-sig"))


def _table(kind: str) -> Table:
    if kind not in _TABLES:
        raise NotFoundError("table", kind, f"Known are: {', '.join(_TABLES)}.")
    return _TABLES[kind]


def _added(session: Session, table: Table, row: csv_form.Row, at: datetime) -> list[Problem]:
    """Add one row; where it's wrong, nothing of it stays, and all that is wrong is returned."""
    if row.wrong:
        return [Problem(f"line {row.line}", row.wrong)]
    cells = {name: cell for name, cell in row.cells.items() if cell.strip()}
    wrong = [*_misfits(table, cells), *_unknown(session, cells)]
    if wrong:
        return [Problem(f"line {row.line}, {name}", told) for name, told in wrong]
    try:
        with session.begin_nested():
            table.add(session, _typed(cells), at)
    except KitloreError as error:
        return [Problem(f"line {row.line}", error.message)]
    return []


def _misfits(table: Table, cells: Mapping[str, str]) -> list[tuple[str, str]]:
    """Return the column and the sentence of all that doesn't fit the draft."""
    try:
        check(table.draft, _typed(cells))
    except InvalidError as error:
        return [(one.field, one.message) for one in error.problems]
    return []


def _unknown(session: Session, cells: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield the column and the sentence of each name that leads nowhere, or to several."""
    for name, look in _NAMING.items():
        try:
            look(session, cells[name]) if name in cells else None
        except KitloreError as error:
            yield name, error.message


def _cell(value: object) -> str:
    return "" if value is None else str(value)


def _typed(cells: Mapping[str, str]) -> dict[str, Any]:
    """Return the cells as a draft takes them; technical data may be written as JSON.

    Raises:
        InvalidError: It's broken JSON.
    """
    technical = cells.get("technical", "")
    if not technical.lstrip().startswith("{"):
        return dict(cells)
    try:
        return {**cells, "technical": json.loads(technical)}
    except ValueError as error:
        raise InvalidError([Problem("technical", f"it is no JSON: {error}.")]) from None


def _items(session: Session) -> Iterator[Mapping[str, object]]:
    tree = lookup.Tree(session)
    found = session.execute(
        select(Item, Model)
        .outerjoin(Model, col(Item.model_id) == Model.id)
        .where(Item.state != ItemState.RETIRED)
        .order_by(Item.name_order),
    )
    for item, model in found:
        yield {
            **{name: getattr(item, name) for name in _TYPED},
            "model": f"{model.maker} {model.name}" if model else None,
            "place": tree.path(item.place_id),
            "price": _price(item.price_minor),
        }


def _price(minor: int | None) -> str | None:
    """Return an amount of minor units as it's typed."""
    return None if minor is None else f"{minor // 100}.{minor % 100:02}"


def _models(session: Session) -> Iterator[Mapping[str, object]]:
    for model in views.model_lines(session):
        yield {
            "maker": model.maker,
            "name": model.name,
            "equipment_class": model.equipment_class,
            "technical": _technical(model.technical),
        }


def _technical(values: Mapping[str, Any]) -> str:
    """Return technical data as it's typed, as JSON where it would read back otherwise."""
    plain = ", ".join(f"{name}={value}" for name, value in values.items())
    try:
        again = check(ModelDraft, _typed({"maker": "-", "name": "-", "technical": plain}))
    except InvalidError:
        return json.dumps(values, ensure_ascii=False)
    return plain if again.technical == values else json.dumps(values, ensure_ascii=False)


def _places(session: Session) -> Iterator[Mapping[str, object]]:
    for place in views.place_lines(session):
        yield {
            "name": place.name,
            "kind": place.kind,
            "within": place.within,
            "minute_cost": _price(place.minute_cost),
            "picture": place.picture,
            "sound": place.sound,
        }


def _add_model(session: Session, values: Mapping[str, Any], _at: datetime) -> None:
    models.add_model(session, values)


_TABLES = {
    "items": Table(ItemDraft, _items, items.add_item),
    "models": Table(ModelDraft, _models, _add_model),
    "places": Table(PlaceDraft, _places, places.add_place),
}
