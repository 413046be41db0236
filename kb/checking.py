"""Raw strings become a checked draft, or one error that names every bad field.

A draft is a frozen pydantic model with a validator for each rule. Both faces hand in what a
person typed, as text; the same rule gives the same sentence in the terminal and on a page.
"""

import unicodedata
from collections.abc import Mapping
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationError

from kb.errors import InvalidError, Problem

LINE_LIMIT = 300
TEXT_LIMIT = 20_000

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
    if not value:
        msg = "it is empty. Type something."
        raise ValueError(msg)
    return value


def _empty_is_none(value: object) -> object:
    return None if isinstance(value, str) and not value.strip() else value


Line = Annotated[str, AfterValidator(clean_line), AfterValidator(_required)]
Text = Annotated[str, AfterValidator(clean_text), AfterValidator(_required)]
OptionalLine = Annotated[
    Annotated[str, AfterValidator(clean_line)] | None, BeforeValidator(_empty_is_none)
]
OptionalText = Annotated[
    Annotated[str, AfterValidator(clean_text)] | None, BeforeValidator(_empty_is_none)
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
    kind, message = item["type"], str(item["msg"])
    if kind == "missing":
        return Problem(field, "it is missing. Give it.")
    if kind == "extra_forbidden":
        known = ", ".join(name.replace("_", " ") for name in draft.model_fields)
        return Problem(field, f"no such field. Known are: {known}.")
    if kind == "value_error":
        return Problem(field, message.removeprefix("Value error, "))
    given = item.get("input")
    if kind in ("enum", "literal_error"):
        return Problem(field, f"'{given}' is none of {item['ctx']['expected']}.")
    return Problem(field, f"'{given}' does not fit: {message[0].lower()}{message[1:]}.")
