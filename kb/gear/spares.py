"""Spares: how many must lie ready and where, how many do, now or at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.gear import lookup, readiness
from kb.gear.drives import DRIVE
from kb.gear.spare_drafts import SpareDraft
from kb.records import journal, sorting
from kb.records.tables.gear import Item, Model, Place
from kb.records.tables.use import Spare, SpareModel

_PLAIN = ("name", "minimum", "on_hand", "needed_rate")


@dataclass(frozen=True)
class SpareLine:
    """A rule, and how many lie ready by it.

    Attributes:
        name: What it's called.
        version: The version that is shown.
        models: The models that serve, the makers' names before theirs.
        place: The path of the place; empty for anywhere.
        minimum: How many must lie ready.
        ready: How many do.
        on_hand: As counted by hand, for what has no labels; None for the rest.
        needed_rate: What a drive must write, in bytes per second.
    """

    name: str
    version: int
    models: tuple[str, ...]
    place: str
    minimum: int
    ready: int
    on_hand: int | None
    needed_rate: int | None


def set_spare(session: Session, values: Mapping[str, Any]) -> None:
    """Say how many of some models must lie ready, and where.

    Raises:
        ConflictError: There is a rule of that name.
        InvalidError: A field of `SpareDraft` is wrong, or a speed is asked of what is no drive.
        NotFoundError: A model or the place is unknown.
    """
    draft = check(SpareDraft, values)
    _require_free(session, draft.name)
    models = _models(session, draft)
    spare = Spare(name=draft.name, minimum=draft.minimum)
    _fill(session, spare, draft)
    session.add(spare)
    session.flush()
    _set_models(session, spare, models, None)


def change_spare(
    session: Session, name: str, values: Mapping[str, Any], at: datetime, seen: int | None = None
) -> None:
    """Change fields of a rule, or count again by hand; what is not given stays.

    Args:
        session: The unit of work.
        name: The rule's name.
        values: The fields of `SpareDraft` to change; `models` names all of them.
        at: When, for models that are taken out.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, or there is another rule of that name.
        InvalidError: A field is wrong, or a speed is asked of what is no drive.
        NotFoundError: There is no such rule, model or place.
    """
    spare = journal.for_change(session, Spare, _by_name(session, name).key, seen)
    before = _model_names(session, [spare.key])[spare.key]
    draft = check(SpareDraft, {**_as_typed(session, spare), **values})
    if draft.name.casefold() != spare.name.casefold():
        _require_free(session, draft.name)
    _fill(session, spare, draft)
    session.flush()
    _set_models(session, spare, _models(session, draft), at)
    after = _model_names(session, [spare.key])[spare.key]
    journal.add_step(session, spare, "models", ", ".join(before), ", ".join(after))


def remove_spare(session: Session, name: str, at: datetime, seen: int | None = None) -> None:
    """Take a rule out of use; it stays on record, and its name is free.

    Raises:
        ConflictError: Changed since it was seen.
        NotFoundError: There is no such rule.
    """
    spare = journal.for_change(session, Spare, _by_name(session, name).key, seen)
    spare.removed_at = at
    session.flush()


def count(session: Session, name: str, at: datetime) -> int:
    """Return how many lay ready at a time by a rule as it stands.

    An item counts that was fit, not joined by a link, not on loan, lay at the place or in it,
    and is of one of the models; a drive only if its last test was fast enough. What is counted
    by hand counts as it was last counted.

    Raises:
        NotFoundError: There is no such rule.
    """
    return _count(session, _by_name(session, name), at)


def spares(session: Session, at: datetime) -> tuple[SpareLine, ...]:
    """Return the rules in use by name, with what lay ready at a time."""
    rules = session.scalars(select(Spare).where(col(Spare.removed_at).is_(None)))
    found = sorted(rules, key=lambda spare: sorting.by_number(spare.name))
    tree = lookup.Tree(session)
    models = _model_names(session, [spare.key for spare in found])
    return tuple(
        SpareLine(
            name=spare.name,
            version=spare.version,
            models=models[spare.key],
            place=tree.path(spare.place_id),
            minimum=spare.minimum,
            ready=_count(session, spare, at),
            on_hand=spare.on_hand,
            needed_rate=spare.needed_rate,
        )
        for spare in found
    )


def short(session: Session, at: datetime) -> tuple[SpareLine, ...]:
    """Return the rules by which too few lay ready at a time."""
    return tuple(line for line in spares(session, at) if line.ready < line.minimum)


def _count(session: Session, spare: Spare, at: datetime) -> int:
    if spare.on_hand is not None:
        return _on_hand(session, spare, at)
    conditions = [*readiness.ready(at), col(Item.model_id).in_(_model_keys(spare.key))]
    if spare.place_id is not None:
        conditions.append(readiness.lying_in(session, spare.place_id, at))
    if spare.needed_rate is not None:
        conditions.append(readiness.fast_enough(spare.needed_rate, at))
    wanted = select(func.count()).select_from(Item).where(*conditions)
    return int(session.scalars(wanted).one())


def _on_hand(session: Session, spare: Spare, at: datetime) -> int:
    """Return how many were counted by hand last before a time; none before the first count."""
    counted = [
        step.changes["on_hand"][1]
        for step in journal.steps(session, "spare", spare.key)
        if "on_hand" in step.changes and step.at <= at
    ]
    return (counted[-1] if counted else None) or 0


def _model_keys(spare: int) -> Any:  # noqa: ANN401 - a query, for a condition
    return select(SpareModel.model_id).where(
        SpareModel.spare_id == spare, col(SpareModel.removed_at).is_(None)
    )


def _model_names(session: Session, keys: Sequence[int]) -> dict[int, tuple[str, ...]]:
    """Return the models of each rule, by name."""
    found = session.execute(
        select(SpareModel.spare_id, Model.maker, Model.name)
        .join(Model, col(SpareModel.model_id) == Model.id)
        .where(col(SpareModel.spare_id).in_(keys), col(SpareModel.removed_at).is_(None))
        .order_by(Model.maker, Model.name),
    )
    names: dict[int, tuple[str, ...]] = dict.fromkeys(keys, ())
    for spare, maker, model in found:
        names[spare] = (*names[spare], f"{maker} {model}")
    return names


def _fill(session: Session, spare: Spare, draft: SpareDraft) -> None:
    for name in _PLAIN:
        setattr(spare, name, getattr(draft, name))
    spare.place_id = lookup.place(session, draft.place).key if draft.place else None


def _models(session: Session, draft: SpareDraft) -> list[Model]:
    """Return the models that a draft names.

    Raises:
        InvalidError: There is nothing to count, or a speed is asked of what is no drive.
        NotFoundError: One of them is unknown.
    """
    if not draft.models and draft.on_hand is None:
        told = "none is named. Name one at least, or say how many are on hand."
        raise InvalidError([Problem("models", told)])
    found = [lookup.model(session, name) for name in draft.models]
    for model in found:
        if draft.needed_rate is not None and model.equipment_class != DRIVE:
            told = f"{model.maker} {model.name} is no drive. Leave the rate out."
            raise InvalidError([Problem("needed rate", told)])
    return found


def _set_models(
    session: Session, spare: Spare, models: Sequence[Model], at: datetime | None
) -> None:
    """Make the models of a rule those named; one no longer named is kept as removed."""
    wanted = {model.key for model in models}
    lines = session.scalars(select(SpareModel).where(SpareModel.spare_id == spare.key))
    in_use = {line.model_id: line for line in lines if line.removed_at is None}
    for key, line in in_use.items():
        if key not in wanted:
            line.removed_at = at
    session.add_all(
        SpareModel(spare_id=spare.key, model_id=key) for key in sorted(wanted - set(in_use))
    )
    session.flush()


def _as_typed(session: Session, spare: Spare) -> dict[str, Any]:
    """Return the rule's fields in the form of its draft."""
    place = lookup.by_key(session, Place, spare.place_id) if spare.place_id is not None else None
    return {
        **{name: getattr(spare, name) for name in _PLAIN},
        "models": _model_names(session, [spare.key])[spare.key],
        "place": lookup.Tree(session).path(place.key) if place else None,
    }


def _by_name(session: Session, name: str) -> Spare:
    """Return the rule in use of that name, whatever its case.

    Raises:
        NotFoundError: There is none.
    """
    known = session.scalars(select(Spare).where(col(Spare.removed_at).is_(None))).all()
    for spare in known:
        if spare.name.casefold() == " ".join(name.split()).casefold():
            return spare
    told = ", ".join(sorted(spare.name for spare in known)) or "none yet"
    raise NotFoundError("rule for spares", name, f"Known are: {told}.")


def _require_free(session: Session, name: str) -> None:
    for spare in session.scalars(select(Spare).where(col(Spare.removed_at).is_(None))):
        if spare.name.casefold() == name.casefold():
            raise ConflictError(f"There is a rule '{spare.name}' already. Change that one.")
