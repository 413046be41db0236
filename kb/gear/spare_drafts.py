"""What a person may type of a rule for spares."""

import re
from typing import Annotated

from pydantic import BeforeValidator, ValidationInfo, field_validator

from kb.checking import Count, Draft, Line, OptionalCount, OptionalLine
from kb.gear.drafts import OptionalRate


def _listed(value: object) -> object:
    """Return models typed as 'Stout 2, Stout 3' as a list."""
    if not isinstance(value, str):
        return value
    return [part for part in re.split("[,;]", value) if part.strip()]


class SpareDraft(Draft):
    """How many must lie ready: counted from items of some models, or by hand."""

    name: Line
    minimum: Count
    models: Annotated[tuple[Line, ...], BeforeValidator(_listed)] = ()
    place: OptionalLine = None
    on_hand: OptionalCount = None
    needed_rate: OptionalRate = None

    @field_validator("on_hand")
    @classmethod
    def _one_way(cls, value: int | None, info: ValidationInfo) -> int | None:
        models = info.data.get("models")
        if models and value is not None:
            msg = "with models it's counted from their items. Leave it or the models out."
            raise ValueError(msg)
        return value
