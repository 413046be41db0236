"""Models: added, changed, merged."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError
from kb.gear import lookup
from kb.gear.drafts import ModelDraft
from kb.records import journal, merging
from kb.records.tables.gear import Model
from kb.records.tables.use import SpareModel


def add_model(session: Session, values: Mapping[str, Any]) -> str:
    """Add a model, and return its whole name, the maker's before it.

    Raises:
        ConflictError: There is one of that name.
        InvalidError: A field is wrong.
    """
    draft = check(ModelDraft, values)
    _require_free(session, draft)
    model = Model(**draft.model_dump())
    session.add(model)
    session.flush()
    return f"{model.maker} {model.name}"


def change_model(
    session: Session, typed: str, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Change fields of a model; those not given stay.

    Raises:
        ConflictError: Changed since it was seen, or the name is in use.
        InvalidError: A field is wrong.
        NotFoundError: There is no such model.
    """
    model = journal.for_change(session, Model, lookup.model(session, typed).key, seen)
    now = {name: getattr(model, name) for name in ModelDraft.model_fields}
    draft = check(ModelDraft, {**now, **values})
    _require_free(session, draft, but=model.key)
    for name, value in draft.model_dump().items():
        setattr(model, name, value)
    session.flush()


def merge_model(
    session: Session, typed: str, into: str, at: datetime, seen: int | None = None
) -> None:
    """Say that two models are one: all items of the first become items of the second.

    Raises:
        ConflictError: The first was changed since it was seen, both are one already, or of
            different classes.
        NotFoundError: One of them is unknown.
    """
    kept = journal.for_change(session, Model, lookup.model(session, into).key)
    gone = journal.for_change(session, Model, lookup.model(session, typed).key, seen)
    if kept.key == gone.key:
        raise ConflictError(f"{typed} and {into} are one model already.")
    if gone.equipment_class and kept.equipment_class not in (None, gone.equipment_class):
        raise ConflictError(
            f"{typed} is a {gone.equipment_class}, {into} a {kept.equipment_class}. Make the "
            "class of one agree first."
        )
    kept.equipment_class = kept.equipment_class or gone.equipment_class
    kept.technical = {**gone.technical, **kept.technical}
    doubled = merging.Lines(SpareModel, of="spare_id", names="model_id")
    merging.remove_doubled(session, doubled, gone.key, kept.key, at)
    merging.repoint(session, Model, gone.key, kept.key)
    gone.merged_into_id = kept.key
    session.flush()


def _require_free(session: Session, draft: ModelDraft, but: int | None = None) -> None:
    """Refuse a name in use, whatever its case, since models are looked up so."""
    wanted = f"{draft.maker} {draft.name}".casefold()
    known = session.scalars(select(Model).where(col(Model.merged_into_id).is_(None)))
    for model in known:
        whole = f"{model.maker} {model.name}"
        if whole.casefold() == wanted and model.key != but:
            raise ConflictError(f"There is a model '{whole}' already.")
