"""Raw strings become a checked draft, or one error that names every bad field.

A draft is a frozen pydantic model with a validator for each rule. Both faces hand in what a
person typed, as text; the same rule gives the same sentence in the terminal and on a page.
"""

import re
import unicodedata
from collections.abc import Mapping
from datetime import MAXYEAR, MINYEAR, UTC, date, datetime
from typing import Annotated, Any, TypeVar
from zoneinfo import ZoneInfo

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
)

from kb.errors import InvalidError, Problem, quoted

LINE_LIMIT = 300
TEXT_LIMIT = 20_000
_COUNT_LIMIT = 1_000_000

_DAY = re.compile(r"\d{4}-\d\d-\d\d$")
_TIME = re.compile(r"\d{1,2}:\d\d$")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\d( \d{1,2}:\d\d)?$")
_AMOUNT = re.compile(r"(\d{1,9})(?:\.(\d{1,2}))?$")

# Bidirectional controls reorder what stands beside them on a label or in a list.
_BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


class Draft(BaseModel):
    """Base of what a person may type: no unknown field, nothing changed after the check."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


DraftT = TypeVar("DraftT", bound=Draft)


def clean_text(value: str, limit: int = TEXT_LIMIT) -> str:
    """Return the text in composed form, its lines kept.

    Args:
        value: What was typed.
        limit: The most characters it may have.

    Raises:
        ValueError: For control characters or too many characters.
    """
    text = unicodedata.normalize("NFC", value.replace("\r\n", "\n").replace("\r", "\n")).strip()
    if len(text) > limit:
        msg = f"{len(text):,} characters are too many: {limit:,} fit. Shorten it."
        raise ValueError(msg)
    for character in text:
        if character in _BIDI_CONTROLS or (
            unicodedata.category(character) in ("Cc", "Cs") and character not in "\n\t"
        ):
            msg = f"it holds the control character U+{ord(character):04X}. Type it without."
            raise ValueError(msg)
    return text


def clean_line(value: str) -> str:
    """Return the text as one line, inner white space folded.

    Raises:
        ValueError: For control characters or too many characters.
    """
    return " ".join(clean_text(value, LINE_LIMIT).split())


def _required(value: str) -> str:
    if not any(character.isprintable() and not character.isspace() for character in value):
        msg = "it is empty. Type something."
        raise ValueError(msg)
    return value


def empty_is_none(value: object) -> object:
    """Return None for an empty text, as a form sends it for a field that was left empty."""
    return None if isinstance(value, str) and not value.strip() else value


Line = Annotated[str, AfterValidator(clean_line), AfterValidator(_required)]
Text = Annotated[str, AfterValidator(clean_text), AfterValidator(_required)]
OptionalLine = Annotated[
    Annotated[str, AfterValidator(clean_line)] | None, BeforeValidator(empty_is_none)
]
OptionalText = Annotated[
    Annotated[str, AfterValidator(clean_text)] | None, BeforeValidator(empty_is_none)
]


def check(draft: type[DraftT], values: Mapping[str, Any]) -> DraftT:
    """Return the draft that the values make.

    Args:
        draft: The draft's class.
        values: Field name to what was typed; fields left out take their default.

    Raises:
        InvalidError: Naming every field that is wrong, missing or unknown.
    """
    try:
        return draft.model_validate(dict(values))
    except ValidationError as error:
        raise InvalidError(_problem(draft, item) for item in error.errors()) from None


def _problem(draft: type[Draft], item: Any) -> Problem:  # noqa: ANN401 - pydantic's own record
    """Return one of pydantic's findings in our words."""
    field = str(item["loc"][0]).replace("_", " ") if item["loc"] else ""
    if item["type"] == "extra_forbidden":
        known = ", ".join(name.replace("_", " ") for name in draft.model_fields)
        return Problem(quoted(field)[1:-1], f"no such field. Known are: {known}.")
    return Problem(field, in_our_words(item))


def in_our_words(item: Mapping[str, Any]) -> str:
    """Return what pydantic found, as a sentence of ours: what is wrong and the mend.

    Args:
        item: One of the records of a `ValidationError`, whoever raised it.
    """
    kind, told = str(item["type"]), item.get("ctx", {})
    if kind == "missing":
        return "it is missing. Give it."
    if kind == "value_error":
        return str(told["error"])
    given = quoted(item.get("input"))
    if kind in ("enum", "literal_error"):
        return f"{given} is none of {told['expected']}."
    bound = next((words for name, words in _BOUNDS.items() if name == kind), None)
    if bound is not None:
        return f"{given} does not fit: {bound.format(**told)}."
    wanted = next((words for name, words in _WANTED.items() if kind.startswith(name)), _OTHER)
    return f"{given} does not fit: {wanted}."


_BOUNDS = {
    "greater_than_equal": "{ge} is the least",
    "greater_than": "it must be more than {gt}",
    "less_than_equal": "{le} is the most",
    "less_than": "it must be less than {lt}",
}
# By how the names of pydantic's findings begin.
_WANTED = {
    "int": "give a whole number, like 12",
    "float": "give a number, like 12.5",
    "finite": "give a number, like 12.5",
    "bool": "give true or false",
    "string": "give a text",
    "datetime": "give a time with its zone, like 2026-03-19T19:05:00Z",
    "timezone": "give a time with its zone, like 2026-03-19T19:05:00Z",
    "is_instance": "give a time with its zone, like 2026-03-19T19:05:00Z",
    "date": "give a day, like 2026-03-19",
    "tuple": 'give a list, like ["one", "another"]',
    "list": 'give a list, like ["one", "another"]',
    "dict": 'give names with values, like {"one": 1}',
    "model": 'give names with values, like {"one": 1}',
    "json": "give JSON, in which texts stand between double quotes",
}
_OTHER = "give another value"


def _iso_day(value: object) -> object:
    if not isinstance(value, str):
        return value
    if not value.strip():
        return None
    try:
        return date.fromisoformat(value.strip()) if _DAY.match(value.strip()) else _no_day(value)
    except ValueError:
        return _no_day(value)


def _no_day(value: str) -> object:
    msg = f"{quoted(value)} is no day. Write year-month-day, like 2026-03-19."
    raise ValueError(msg)


def _minor_units(value: object) -> object:
    """Return an amount of money as integer minor units: '12.50' is 1250."""
    if not isinstance(value, str):
        return value
    if not value.strip():
        return None
    found = _AMOUNT.match(value.strip())
    if not found:
        msg = f"{quoted(value)} is no amount. Write it like 980 or 12.50."
        raise ValueError(msg)
    return int(found[1]) * 100 + int((found[2] or "0").ljust(2, "0"))


def _several_amounts(value: object) -> object:
    """Return amounts apart by spaces or semicolons: '1200 900' is two."""
    if isinstance(value, str):
        return [_minor_units(one) for one in value.replace(";", " ").split()]
    return value if value is not None else ()


OptionalDay = Annotated[date | None, BeforeValidator(_iso_day)]
OptionalMoney = Annotated[Annotated[int, Field(ge=0)] | None, BeforeValidator(_minor_units)]
Amounts = Annotated[tuple[Annotated[int, Field(ge=0)], ...], BeforeValidator(_several_amounts)]

Count = Annotated[int, Field(ge=0, le=_COUNT_LIMIT)]
OptionalCount = Annotated[Count | None, BeforeValidator(empty_is_none)]

# Times reach a draft parsed already (see `moment`), since only the face knows the zone.
Moment = Annotated[
    AwareDatetime, Field(strict=True), AfterValidator(lambda value: value.astimezone(UTC))
]
OptionalMoment = Annotated[Moment | None, BeforeValidator(empty_is_none)]


def moment(typed: str, zone: ZoneInfo, now: datetime) -> datetime:
    """Return the time that was typed, in UTC.

    Args:
        typed: 'HH:MM' (on the day of `now`), a day (its midnight), or both.
        zone: The zone that the person means.
        now: The time now, aware.

    Raises:
        InvalidError: It's none of these, or doesn't exist (the hour skipped in spring).
    """
    text = re.sub(r"\b(\d:\d\d)$", r"0\1", typed.strip().replace("T", " "))
    if _TIME.match(text):
        text = f"{now.astimezone(zone):%Y-%m-%d} {text}"
    local = _local(text)
    if local is None:
        raise InvalidError(
            [Problem("time", f"{quoted(typed)} is no time. Write 19:00 or 2026-10-31 19:00.")],
        )
    found = local.replace(tzinfo=zone).astimezone(UTC)
    if found.astimezone(zone).replace(tzinfo=None) != local:
        raise InvalidError(
            [Problem("time", f"{typed} doesn't exist in {zone.key}: the clock skips it.")],
        )
    return found


def _local(text: str) -> datetime | None:
    try:
        found = datetime.fromisoformat(text) if _MOMENT.match(text) else None
    except ValueError:
        return None
    # At the ends of the calendar a time has no counterpart in UTC.
    return found if found and MINYEAR < found.year < MAXYEAR else None
