"""People."""

from datetime import datetime

from sqlalchemy import Index, text
from sqlmodel import Field

from kb.records.kinds import Role
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
