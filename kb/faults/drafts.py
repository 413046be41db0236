"""What a person may type of faults, attempts and causes."""

from typing import Annotated

from pydantic import AwareDatetime, Field

from kb.checking import Draft, Line, OptionalLine, OptionalText, Text
from kb.records.kinds import CableEnd, CauseKind, Effect, Outcome

NO_ITEM = "none"


class FaultDraft(Draft):
    """What somebody reports: in their words, on an item or at a place."""

    text: Text
    item: OptionalLine = None
    place: OptionalLine = None
    end: CableEnd | None = None
    effect: Effect = Effect.NONE
    minutes_lost: Annotated[int, Field(ge=0, le=10_000)] | None = None
    entry: OptionalLine = None
    reporter: OptionalLine = None
    noticed_at: AwareDatetime | None = None
    client_key: OptionalLine = None


class AttemptDraft(Draft):
    """One fix tried: of an entry by its key, or in free words."""

    entry: OptionalLine = None
    fix: OptionalLine = None
    what: OptionalText = None
    outcome: Outcome
    minutes: Annotated[float, Field(ge=0, le=10_000)] | None = None
    by: OptionalLine = None


class StrikeDraft(Draft):
    """Why an attempt counts no more."""

    reason: Line


class CauseDraft(Draft):
    """What it was: the kind, and the item to blame ('none' where no item of ours is).

    Without `item` the item that it was seen on is meant.
    """

    kind: CauseKind
    item: Line | None = None
    note: OptionalText = None
    minutes_lost: Annotated[int, Field(ge=0, le=10_000)] | None = None
    restored_at: AwareDatetime | None = None
