"""What a person may type of a service and the items that it covered."""

from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field

from kb.checking import (
    Draft,
    Line,
    Moment,
    OptionalDay,
    OptionalLine,
    OptionalMoney,
    OptionalText,
    Text,
    empty_is_none,
)
from kb.records.kinds import Result, ServiceKind
from kb.records.tables.base import KEY_LIMIT


def _listed(value: object) -> object:
    """Return items typed as 'CC-01=pass, CC-02' as a list of drafts."""
    if not isinstance(value, str):
        return value
    parts = [part.partition("=") for part in value.split(",") if part.strip()]
    return [{"item": item, "result": result.strip().lower()} for item, _equals, result in parts]


def _some(items: tuple[Any, ...]) -> tuple[Any, ...]:
    if not items:
        msg = "none is named. Name one at least, like CC-01=pass, CC-02."
        raise ValueError(msg)
    return items


class ServiceItemDraft(Draft):
    """One item of a service, and what was found on it."""

    item: Line
    result: Annotated[Result | None, BeforeValidator(empty_is_none)] = None
    note: OptionalText = None


class ServiceDraft(Draft):
    """A maintenance event and its items (`CC-01=pass, CC-02=fail`)."""

    kind: ServiceKind
    work: Text
    items: Annotated[tuple[ServiceItemDraft, ...], BeforeValidator(_listed), AfterValidator(_some)]
    tester: OptionalLine = None
    cost: OptionalMoney = None
    next_due: OptionalDay = None
    fault: Annotated[
        Annotated[int, Field(gt=0, lt=KEY_LIMIT)] | None, BeforeValidator(empty_is_none)
    ] = None


class ServiceSlipDraft(ServiceDraft):
    """What may be mended in a service: its time too."""

    at: Moment
