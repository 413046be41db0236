"""Models, places, codes and items: what there is and where it lies."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, CheckConstraint, Index, text
from sqlmodel import Field, SQLModel

from kb.records import sorting
from kb.records.kinds import ItemState, PlaceKind
from kb.records.tables.base import Record, UtcTime, one_of


class Model(Record, table=True):
    """The make-and-model that items share, its equipment class and technical data."""

    __tablename__ = "model"
    __table_args__ = (
        CheckConstraint("merged_into_id IS NULL OR merged_into_id <> id", name="not_into_itself"),
        Index(
            "ix_model_maker_name_in_use",
            "maker",
            "name",
            unique=True,
            sqlite_where=text("merged_into_id IS NULL"),
            postgresql_where=text("merged_into_id IS NULL"),
        ),
    )

    maker: str
    name: str
    equipment_class: str | None = Field(default=None, index=True)
    technical: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    merged_into_id: int | None = Field(default=None, foreign_key="model.id")


class Place(Record, table=True):
    """A node of the tree of places; its name is unique below its parent.

    `new_code` is the one on its newest label, where it got another than the first. What a lost
    minute costs, and picture and sound that are recorded, hold for what lies in it too.
    """

    __tablename__ = "place"
    __table_args__ = (
        one_of("kind", PlaceKind),
        CheckConstraint("parent_id IS NULL OR parent_id <> id", name="not_below_itself"),
        CheckConstraint("merged_into_id IS NULL OR merged_into_id <> id", name="not_into_itself"),
        Index(
            "ix_place_parent_name_in_use",
            "parent_id",
            "name",
            unique=True,
            sqlite_where=text("merged_into_id IS NULL AND retired_at IS NULL"),
            postgresql_where=text("merged_into_id IS NULL AND retired_at IS NULL"),
        ),
    )

    name: str
    kind: str
    parent_id: int | None = Field(default=None, foreign_key="place.id", index=True)
    new_code: str | None = None
    minute_cost: int | None = None
    picture: str | None = None
    sound: str | None = None
    retired_at: datetime | None = Field(default=None, sa_type=UtcTime)
    merged_into_id: int | None = Field(default=None, foreign_key="place.id")


def folded(name: str) -> str:
    """Return a name as it's compared: whatever its case."""
    return name.casefold()


def _fold_name(context: Any) -> str:  # noqa: ANN401 - SQLAlchemy's own
    return folded(context.get_current_parameters()["name"])


def _order_name(context: Any) -> str:  # noqa: ANN401 - SQLAlchemy's own
    return sorting.by_number(context.get_current_parameters()["name"])


class Item(Record, table=True):
    """One physical thing with its own label: a device, a cable or a drive.

    `name_folded` and `name_order`, by which items are listed, follow the name by themselves when
    an item is new; whoever changes the name calls `rename`. SQLite's own folding stops at the
    letter z, and no database counts.
    """

    __tablename__ = "item"
    __table_args__ = (
        one_of("state", ItemState),
        CheckConstraint("length(name) > 0", name="named"),
        CheckConstraint("price_minor IS NULL OR price_minor >= 0", name="price_not_negative"),
        CheckConstraint("merged_into_id IS NULL OR merged_into_id <> id", name="not_into_itself"),
        Index(
            "ix_item_name_in_use",
            "name_folded",
            unique=True,
            sqlite_where=text("state <> 'retired'"),
            postgresql_where=text("state <> 'retired'"),
        ),
    )

    code: str = Field(unique=True)
    name: str
    name_folded: str = Field(
        default=None, nullable=False, index=True, sa_column_kwargs={"default": _fold_name}
    )
    name_order: str = Field(
        default=None,
        nullable=False,
        index=True,
        sa_column_kwargs={"default": _order_name, "server_default": text("''")},
    )
    model_id: int | None = Field(default=None, foreign_key="model.id", index=True)
    batch: str | None = None
    serial: str | None = Field(default=None, index=True)
    state: str = ItemState.FIT
    place_id: int | None = Field(default=None, foreign_key="place.id", index=True)
    in_service: date | None = None
    bought: date | None = None
    price_minor: int | None = Field(default=None, sa_type=BigInteger)
    supplier: str | None = None
    warranty_until: date | None = None
    note: str | None = None
    merged_into_id: int | None = Field(default=None, foreign_key="item.id")

    def rename(self, name: str) -> None:
        """Give it another name, and what it's looked up and listed by."""
        self.name, self.name_folded = name, folded(name)
        self.name_order = sorting.by_number(name)


class Code(SQLModel, table=True):
    """A code once drawn: never drawn again, whatever becomes of what it names.

    A merged or relabelled item or place has several; each resolves to it. One that names nothing
    is reserved for a label printed ahead.
    """

    __tablename__ = "code"
    __table_args__ = (
        CheckConstraint("length(code) = 6", name="six_characters"),
        CheckConstraint("item_id IS NULL OR place_id IS NULL", name="names_one_thing"),
    )

    code: str = Field(primary_key=True)
    item_id: int | None = Field(default=None, foreign_key="item.id", index=True)
    place_id: int | None = Field(default=None, foreign_key="place.id", index=True)
    drawn_at: datetime = Field(sa_type=UtcTime)


class StateSpell(Record, table=True):
    """From when an item is in a state; the review's exposure is cut from these."""

    __tablename__ = "state_spell"
    __table_args__ = (
        one_of("state", ItemState),
        Index("ix_state_spell_item_since", "item_id", "since"),
    )

    item_id: int = Field(foreign_key="item.id")
    state: str
    since: datetime = Field(sa_type=UtcTime)
    reason: str | None = None


class Placement(Record, table=True):
    """From when an item lies at a place."""

    __tablename__ = "placement"
    __table_args__ = (Index("ix_placement_item_since", "item_id", "since"),)

    item_id: int = Field(foreign_key="item.id")
    place_id: int | None = Field(default=None, foreign_key="place.id", index=True)
    since: datetime = Field(sa_type=UtcTime)
    reason: str | None = None
