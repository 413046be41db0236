"""The data files of the invented studio, each row typed by the class that describes it."""

import csv
import io
from collections.abc import Callable
from datetime import date, time
from importlib import resources
from types import NoneType, UnionType
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

RowT = TypeVar("RowT")

_BOOLEANS = {"yes": True, "no": False}


def read(kind: Callable[..., RowT], name: str) -> tuple[RowT, ...]:
    """Return the rows of one file of the demo's data, in its order.

    Args:
        kind: The class of a row; its fields are the columns, in their order.
        name: The file's name without its ending.

    Raises:
        ValueError: The file does not fit the class: a defect of the data.
    """
    place = resources.files("kb.demo") / "data" / f"{name}.csv"
    return typed(kind, place.read_text(encoding="utf-8"))


def typed(kind: Callable[..., RowT], text: str) -> tuple[RowT, ...]:
    """Return the rows of a CSV text, its first line the columns.

    Raises:
        ValueError: The text does not fit the class.
    """
    hints = get_type_hints(kind)
    lines = csv.reader(io.StringIO(text, newline=""))
    header = next(lines, [])
    if header != list(hints):
        msg = f"the columns are {header}, those of the class are {list(hints)}"
        raise ValueError(msg)
    return tuple(
        kind(**{name: _value(raw, hints[name]) for name, raw in zip(header, line, strict=True)})
        for line in lines
    )


def _value(raw: str, hint: Any) -> Any:  # noqa: ANN401 - a type and one of its values
    """Return a cell as the type of its column."""
    if isinstance(hint, UnionType):
        (inner,) = (part for part in get_args(hint) if part is not NoneType)
        return _value(raw, inner) if raw else None
    if get_origin(hint) is tuple:
        return tuple(raw.split(";")) if raw else ()
    if not raw:
        msg = f"an empty cell where {hint.__name__} is asked"
        raise ValueError(msg)
    if hint is bool:
        return _BOOLEANS[raw]
    return hint.fromisoformat(raw) if hint in (date, time) else hint(raw)
