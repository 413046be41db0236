"""Links, shows, services, loans, spares and drive tests: how the gear is used and kept."""

from datetime import date, datetime

from sqlalchemy import BigInteger, CheckConstraint, Index, text
from sqlmodel import Field

from kb.records.kinds import ServiceKind, ShowKind
from kb.records.tables.base import Record, UtcTime, one_of

_OPEN_LINK = text("until IS NULL")
_OPEN_CABLE = text("until IS NULL AND cable_id IS NOT NULL")
_NOT_BACK = text("back_at IS NULL")
_NOT_REMOVED = text("removed_at IS NULL")


class Link(Record, table=True):
    """What joins a port at one end to a port at the other, from when to when.

    Signal runs from `from_port` to `to_port`. Without a cable item it is a jumper that has no
    label. Ports are named as on the gear ('in 3').
    """

    __tablename__ = "link"
    __table_args__ = (
        CheckConstraint("until IS NULL OR until >= since", name="ends_after_start"),
        CheckConstraint(
            "cable_id IS NULL OR cable_id NOT IN (from_item_id, to_item_id)",
            name="cable_is_no_end",
        ),
        Index(
            "ix_link_cable_open",
            "cable_id",
            unique=True,
            sqlite_where=_OPEN_CABLE,
            postgresql_where=_OPEN_CABLE,
        ),
        Index(
            "ix_link_from_open",
            "from_item_id",
            "from_port",
            unique=True,
            sqlite_where=_OPEN_LINK,
            postgresql_where=_OPEN_LINK,
        ),
        Index(
            "ix_link_to_open",
            "to_item_id",
            "to_port",
            unique=True,
            sqlite_where=_OPEN_LINK,
            postgresql_where=_OPEN_LINK,
        ),
    )

    cable_id: int | None = Field(default=None, foreign_key="item.id", index=True)
    from_item_id: int = Field(foreign_key="item.id", index=True)
    from_port: str
    to_item_id: int = Field(foreign_key="item.id", index=True)
    to_port: str
    since: datetime = Field(sa_type=UtcTime)
    until: datetime | None = Field(default=None, sa_type=UtcTime)


class Show(Record, table=True):
    """One recording date: minutes to air, lost minutes and use-based exposure hang on it."""

    __tablename__ = "show"
    __table_args__ = (
        one_of("kind", ShowKind),
        CheckConstraint("ends_at IS NULL OR ends_at >= air_at", name="ends_after_air"),
        CheckConstraint("set_up_from IS NULL OR set_up_from <= air_at", name="set_up_before_air"),
    )

    title: str
    kind: str = ShowKind.SHOW
    place_id: int | None = Field(default=None, foreign_key="place.id")
    set_up_from: datetime | None = Field(default=None, sa_type=UtcTime)
    air_at: datetime = Field(sa_type=UtcTime, index=True)
    ends_at: datetime | None = Field(default=None, sa_type=UtcTime)
    cancelled_at: datetime | None = Field(default=None, sa_type=UtcTime)


class Service(Record, table=True):
    """A maintenance event; the items it covered are in `service_item`."""

    __tablename__ = "service"
    __table_args__ = (
        one_of("kind", ServiceKind),
        CheckConstraint("cost_minor IS NULL OR cost_minor >= 0", name="cost_not_negative"),
    )

    kind: str
    at: datetime = Field(sa_type=UtcTime, index=True)
    work: str
    tester: str | None = None
    cost_minor: int | None = Field(default=None, sa_type=BigInteger)
    next_due: date | None = None
    fault_id: int | None = Field(default=None, foreign_key="fault.id", index=True)


class ServiceItem(Record, table=True):
    """One item of a service, with what was found on it; one named by a slip is removed."""

    __tablename__ = "service_item"
    __table_args__ = (
        CheckConstraint(
            "result IS NULL OR result IN ('pass', 'fail', 'marginal')", name="result_known"
        ),
        Index(
            "ix_service_item_service_item",
            "service_id",
            "item_id",
            unique=True,
            sqlite_where=_NOT_REMOVED,
            postgresql_where=_NOT_REMOVED,
        ),
    )

    service_id: int = Field(foreign_key="service.id")
    item_id: int = Field(foreign_key="item.id", index=True)
    result: str | None = None
    note: str | None = None
    removed_at: datetime | None = Field(default=None, sa_type=UtcTime)


class Loan(Record, table=True):
    """An item that is away; one loan at a time."""

    __tablename__ = "loan"
    __table_args__ = (
        CheckConstraint("back_at IS NULL OR back_at >= out_at", name="back_after_out"),
        Index(
            "ix_loan_item_open",
            "item_id",
            unique=True,
            sqlite_where=_NOT_BACK,
            postgresql_where=_NOT_BACK,
        ),
    )

    item_id: int = Field(foreign_key="item.id", index=True)
    borrower: str
    out_at: datetime = Field(sa_type=UtcTime)
    due: date | None = None
    back_at: datetime | None = Field(default=None, sa_type=UtcTime)
    note: str | None = None


class Spare(Record, table=True):
    """How many of a kind must lie ready, and where.

    Counted from the items of its models that are fit, free and lie at the place; a consumable
    without labels is counted by hand (`on_hand`).
    """

    __tablename__ = "spare"
    __table_args__ = (
        CheckConstraint("minimum >= 0", name="minimum_not_negative"),
        CheckConstraint("on_hand IS NULL OR on_hand >= 0", name="on_hand_not_negative"),
        CheckConstraint("needed_rate IS NULL OR needed_rate > 0", name="needed_rate_positive"),
        Index(
            "ix_spare_name_in_use",
            "name",
            unique=True,
            sqlite_where=_NOT_REMOVED,
            postgresql_where=_NOT_REMOVED,
        ),
    )

    name: str
    minimum: int
    place_id: int | None = Field(default=None, foreign_key="place.id")
    on_hand: int | None = None
    needed_rate: int | None = Field(default=None, sa_type=BigInteger)
    removed_at: datetime | None = Field(default=None, sa_type=UtcTime)


class SpareModel(Record, table=True):
    """A model that serves as a spare, until it was taken out of the rule."""

    __tablename__ = "spare_model"
    __table_args__ = (
        Index(
            "ix_spare_model_spare_model",
            "spare_id",
            "model_id",
            unique=True,
            sqlite_where=_NOT_REMOVED,
            postgresql_where=_NOT_REMOVED,
        ),
    )

    spare_id: int = Field(foreign_key="spare.id")
    model_id: int = Field(foreign_key="model.id", index=True)
    removed_at: datetime | None = Field(default=None, sa_type=UtcTime)


class DriveTest(Record, table=True):
    """A measured sustained write speed, bytes per second."""

    __tablename__ = "drive_test"
    __table_args__ = (
        CheckConstraint("write_rate > 0", name="rate_positive"),
        Index("ix_drive_test_item_at", "item_id", "at"),
    )

    item_id: int = Field(foreign_key="item.id")
    at: datetime = Field(sa_type=UtcTime)
    write_rate: int = Field(sa_type=BigInteger)
    note: str | None = None
