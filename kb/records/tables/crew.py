"""People, the phones and scripts that were let in, and by which names we are reached."""

from datetime import datetime

from sqlalchemy import CheckConstraint, Index, text
from sqlmodel import Field

from kb.records.kinds import PairingKind, Role, Strangers
from kb.records.tables.base import Record, UtcTime, one_of


class Person(Record, table=True):
    """Somebody who keeps the records, by initials or a short name.

    A person who was forgotten keeps the row, under a name that says nothing.
    """

    __tablename__ = "person"
    __table_args__ = (
        one_of("role", Role),
        Index(
            "ix_person_name_in_use",
            "name",
            unique=True,
            sqlite_where=text("merged_into_id IS NULL AND forgotten_at IS NULL"),
            postgresql_where=text("merged_into_id IS NULL AND forgotten_at IS NULL"),
        ),
    )

    name: str
    role: str = Role.TECH
    forgotten_at: datetime | None = Field(default=None, sa_type=UtcTime)
    merged_into_id: int | None = Field(default=None, foreign_key="person.id")


class Pairing(Record, table=True):
    """A phone or a script that was let in, in a person's name; its number is its id.

    Only digests are kept: of the ticket that is offered for two minutes, and of the secret that
    the phone got for it. A script has no ticket and may have less than its person's role.
    """

    __tablename__ = "pairing"
    __table_args__ = (
        one_of("kind", PairingKind),
        CheckConstraint("role IS NULL OR role IN ('reader', 'tech', 'lead')", name="role_known"),
        CheckConstraint("ticket IS NOT NULL OR secret IS NOT NULL", name="offered_or_paired"),
        CheckConstraint("(secret IS NULL) = (paired_at IS NULL)", name="paired_has_secret"),
    )

    person_id: int = Field(foreign_key="person.id", index=True)
    kind: str = PairingKind.PHONE
    device: str
    role: str | None = None
    ticket: str | None = Field(default=None, unique=True)
    offered_until: datetime | None = Field(default=None, sa_type=UtcTime)
    secret: str | None = Field(default=None, unique=True)
    paired_at: datetime | None = Field(default=None, sa_type=UtcTime)
    expires_at: datetime | None = Field(default=None, sa_type=UtcTime)
    ended_at: datetime | None = Field(default=None, sa_type=UtcTime)
    last_used_at: datetime | None = Field(default=None, sa_type=UtcTime)


class Feed(Record, table=True):
    """A secret address at which a calendar reads the shows, and nothing else.

    Only the digest of its key is kept. With a place it tells the shows there.
    """

    __tablename__ = "feed"

    person_id: int = Field(foreign_key="person.id", index=True)
    device: str
    place_id: int | None = Field(default=None, foreign_key="place.id")
    secret: str = Field(unique=True)
    made_at: datetime = Field(sa_type=UtcTime)
    ended_at: datetime | None = Field(default=None, sa_type=UtcTime)
    last_used_at: datetime | None = Field(default=None, sa_type=UtcTime)


class Admission(Record, table=True):
    """The one row that says what phones may do that nobody paired; the usual without it."""

    __tablename__ = "admission"
    __table_args__ = (
        one_of("strangers", Strangers),
        CheckConstraint("id = 1", name="only_one"),
    )

    strangers: str = Strangers.REPORT


class PrintedHost(Record, table=True):
    """A host that a label was printed with: as long as labels live we answer by that name."""

    __tablename__ = "printed_host"

    host: str = Field(unique=True)
