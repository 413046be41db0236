"""Faults, attempts, photos, and searches that found nothing."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ColumnElement, Index, and_, text
from sqlmodel import Field, col

from kb.records.kinds import CauseKind, Effect, Outcome
from kb.records.tables.base import Record, UtcTime, one_of

_OPEN = text("restored_at IS NULL AND merged_into_id IS NULL")
_MERGED = text("merged_into_id IS NOT NULL")


class Fault(Record, table=True):
    """What somebody reported wrong, from noticed to restored; its number is its id.

    The cause is said once: the kind, and the item to blame unless `cause_elsewhere` says that
    no item of ours is. `client_key` makes a repeated report harmless. `reopened_at` is when it was
    last found to be back though it had been restored: what was tried before that did not hold. One
    that was logged by mistake stays readable and counts nowhere.
    """

    __tablename__ = "fault"
    __table_args__ = (
        one_of("effect", Effect),
        CheckConstraint(
            "cause_kind IS NULL OR cause_kind IN ("
            + ", ".join(f"'{kind.value}'" for kind in CauseKind)
            + ")",
            name="cause_kind_known",
        ),
        CheckConstraint(
            "seen_item_id IS NOT NULL OR seen_place_id IS NOT NULL", name="seen_somewhere"
        ),
        CheckConstraint(
            "restored_at IS NULL OR restored_at >= noticed_at", name="restored_after_noticed"
        ),
        CheckConstraint("closed_at IS NULL OR restored_at IS NOT NULL", name="closed_is_restored"),
        CheckConstraint("minutes_lost IS NULL OR minutes_lost >= 0", name="minutes_not_negative"),
        CheckConstraint("cable_end IS NULL OR cable_end IN ('A', 'B')", name="cable_end_known"),
        CheckConstraint(
            "cause_item_id IS NULL OR cause_kind IS NOT NULL", name="cause_item_has_kind"
        ),
        CheckConstraint("merged_into_id IS NULL OR merged_into_id <> id", name="not_into_itself"),
        # The open faults of an item's page and of the start list.
        Index(
            "ix_fault_seen_item_open", "seen_item_id", sqlite_where=_OPEN, postgresql_where=_OPEN
        ),
        # Of merged ones alone: SQLite would use a whole one to find those that are not.
        Index(
            "ix_fault_merged_into",
            "merged_into_id",
            sqlite_where=_MERGED,
            postgresql_where=_MERGED,
        ),
    )

    text: str
    noticed_at: datetime = Field(sa_type=UtcTime, index=True)
    reporter: str
    seen_item_id: int | None = Field(default=None, foreign_key="item.id", index=True)
    seen_place_id: int | None = Field(default=None, foreign_key="place.id", index=True)
    cable_end: str | None = None
    effect: str = Effect.NONE
    show_id: int | None = Field(default=None, foreign_key="show.id", index=True)
    minutes_lost: int | None = None
    entry_id: int | None = Field(default=None, foreign_key="entry.id", index=True)
    restored_at: datetime | None = Field(default=None, sa_type=UtcTime)
    closed_at: datetime | None = Field(default=None, sa_type=UtcTime)
    reopened_at: datetime | None = Field(default=None, sa_type=UtcTime)
    cause_kind: str | None = None
    cause_item_id: int | None = Field(default=None, foreign_key="item.id", index=True)
    cause_note: str | None = None
    client_key: str | None = Field(default=None, unique=True)
    merged_into_id: int | None = Field(default=None, foreign_key="fault.id")
    mistaken_at: datetime | None = Field(default=None, sa_type=UtcTime)


# What counts: no other report tells of it, and it was no slip.
STANDS: ColumnElement[bool] = and_(
    col(Fault.merged_into_id).is_(None), col(Fault.mistaken_at).is_(None)
)


class Attempt(Record, table=True):
    """One fix tried on one fault; a slip is struck out, never deleted."""

    __tablename__ = "attempt"
    __table_args__ = (
        one_of("outcome", Outcome),
        CheckConstraint("fix_key IS NULL OR entry_id IS NOT NULL", name="fix_of_an_entry"),
        CheckConstraint("fix_key IS NOT NULL OR what IS NOT NULL", name="says_what"),
        CheckConstraint("minutes IS NULL OR minutes >= 0", name="minutes_not_negative"),
        Index("ix_attempt_entry_fix", "entry_id", "fix_key"),
    )

    fault_id: int = Field(foreign_key="fault.id", index=True)
    entry_id: int | None = Field(default=None, foreign_key="entry.id")
    fix_key: str | None = None
    what: str | None = None
    outcome: str
    minutes: float | None = None
    at: datetime = Field(sa_type=UtcTime)
    by: str
    struck_at: datetime | None = Field(default=None, sa_type=UtcTime)
    struck_reason: str | None = None


class Photo(Record, table=True):
    """A picture of a fault; the file in the uploads bears its digest as its name.

    One that was added by a slip is taken down: the record stays, the picture is shown no more.
    """

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("length(digest) = 64", name="digest_of_sha_256"),
        CheckConstraint("width > 0 AND height > 0", name="has_a_size"),
    )

    fault_id: int = Field(foreign_key="fault.id", index=True)
    digest: str = Field(index=True)
    media_type: str
    width: int
    height: int
    at: datetime = Field(sa_type=UtcTime)
    by: str
    removed_at: datetime | None = Field(default=None, sa_type=UtcTime)


class Unanswered(Record, table=True):
    """A search that found nothing: the list of entries to write next."""

    __tablename__ = "unanswered"

    query: str
    at: datetime = Field(sa_type=UtcTime)
    by: str
    item_id: int | None = Field(default=None, foreign_key="item.id")
    answered_by_id: int | None = Field(default=None, foreign_key="entry.id")
