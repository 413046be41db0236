"""The reviews that a lead asks for: fetched here, said in `parts`."""

from datetime import date
from typing import Any

from sqlmodel import Session, col, select

from kb.entries import evidence, library, parse
from kb.errors import InvalidError, NotFoundError, Problem
from kb.gear import lookup
from kb.records.settings import Settings
from kb.records.tables.gear import Item, Model
from kb.review import gather, sums
from kb.review.facts import Facts, Frame
from kb.review.paper import Part, Review
from kb.review.parts import first, fixes, hindsight, replacing, whole
from kb.review.parts.costs import Plans
from kb.review.parts.replacing import Offer

DRIVE = "drive"
_PLANS = Plans()


def of_model(
    session: Session, settings: Settings, shared: Frame, name: str, plans: Plans = _PLANS
) -> Review:
    """Return all that can be said of one model.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
        name: The model's, the maker before it where the name alone isn't enough.
        plans: What the money is reckoned with.

    Raises:
        ConflictError: Several makers have a model of that name.
        NotFoundError: There is none.
    """
    model = lookup.model(session, name)
    facts = _facts(session, settings, shared, col(Item.model_id) == model.key)
    return Review(f"{model.maker} {model.name}", shared, whole.of_units(facts, plans))


def of_item(
    session: Session, settings: Settings, shared: Frame, typed: str, plans: Plans = _PLANS
) -> Review:
    """Return all that can be said of one item.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
        typed: The item's code or name.
        plans: What the money is reckoned with.

    Raises:
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    facts = _facts(session, settings, shared, col(Item.id) == item.key)
    return Review(item.name, shared, whole.of_units(facts, plans))


def before_buying(
    session: Session, settings: Settings, shared: Frame, sort: str, plans: Plans = _PLANS
) -> Review:
    """Return the models of a class side by side, with a verdict in words.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
        sort: An equipment class, and the plugs of leads if only those are meant: 'cable
            HDMI'.
        plans: What the money is reckoned with.

    Raises:
        NotFoundError: No item is of that class.
    """
    wanted, _, plugs = sort.strip().partition(" ")
    models = select(Model.id).where(Model.equipment_class == wanted)
    facts = _facts(session, settings, shared, col(Item.model_id).in_(models))
    sorts = {
        name: each
        for name, each in facts.by(lambda unit: unit.sort).items()
        if not plugs or name.casefold() == f"{wanted} {plugs}".casefold()
    }
    if not sorts:
        known = ", ".join(sorts_of(session))
        raise NotFoundError("class", sort, f"Models with items are of: {known}.")
    parts: list[Part] = []
    for name, each in sorts.items():
        told = whole.before_buying(each, plans)
        parts += told if len(sorts) == 1 else (whole.named_for(one, name) for one in told)
    return Review(f"Before you buy: {sort}", shared, tuple(parts))


def hindsight_of(
    session: Session, settings: Settings, shared: Frame, name: str, day: date, what: str
) -> Review:
    """Return before and after a day, of a model, an item or a class.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
        name: The model's, the item's code or name, or an equipment class.
        day: The first day of 'after'.
        what: What happened on it.

    Raises:
        ConflictError: Several makers have a model of that name.
        NotFoundError: There is no such thing.
    """
    facts = _facts(session, settings, shared, _named(session, name))
    return Review(f"{name}, before and after", shared, (hindsight.since_day(facts, day, what),))


def mend_or_replace(
    session: Session, settings: Settings, shared: Frame, typed: str, name: str, offer: Offer
) -> Review:
    """Return whether an item is mended or another model bought.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
        typed: The item's code or name.
        name: The model to buy; one that is owned, so that its failures are known.
        offer: What was said of mending and buying.

    Raises:
        ConflictError: Several makers have a model of that name.
        InvalidError: The item's model isn't known.
        NotFoundError: There is no such item or model.
    """
    item, model = lookup.item(session, typed), lookup.model(session, name)
    if item.model_id is None:
        raise InvalidError(
            [Problem("item", f"the model of {item.name} isn't known. Say it first.")]
        )
    old = _facts(session, settings, shared, col(Item.model_id) == item.model_id)
    new = _facts(session, settings, shared, col(Item.model_id) == model.key)
    part = replacing.mend_or_replace(item.name, old, new, offer)
    title = f"{item.name}: mend it, or buy {model.maker} {model.name}"
    return Review(title, shared, (part,))


def what_first(session: Session, settings: Settings, shared: Frame, way: str) -> Review:
    """Return the models to look at first.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
        way: One of `first.WAYS`.
    """
    found = sums.by_model(session, settings, shared)
    parts = (
        first.pareto_of(found, way, shared.confidence),
        first.never_again(found, shared.confidence),
    )
    return Review("What to look at first", shared, parts)


def of_drives(session: Session, settings: Settings, shared: Frame) -> Review:
    """Return the drives' write speeds and failure rates.

    Args:
        session: The unit of work.
        settings: The workspace's.
        shared: What its figures share.
    """
    models = select(Model.id).where(Model.equipment_class == DRIVE)
    facts = _facts(session, settings, shared, col(Item.model_id).in_(models))
    return Review("Drives", shared, whole.of_drives(facts))


def of_fixes(session: Session, settings: Settings, shared: Frame) -> Review:
    """Return how often fixes worked here, pending tries apart, the surest first.

    Args:
        session: The unit of work.
        settings: For the hold time.
        shared: What its figures share.
    """
    texts = library.texts(session)
    behind = evidence.of_entries(session, list(texts), shared.now, settings.hold_days)
    tried: list[fixes.Tried] = []
    for key, weighed in behind.items():
        entry = parse.entry_from(texts[key])
        titles = {fix.key: fix.title for fix in entry.fixes}
        tried += [
            fixes.Tried(entry.title, titles.get(fix, fix), one.worked, one.tried, len(one.pending))
            for fix, one in weighed.items()
        ]
    return Review("What worked", shared, (fixes.worked(tried, shared),))


def models_of(session: Session) -> tuple[str, ...]:
    """Return the models that items are of, maker first, by name."""
    rows = session.execute(
        select(Model.maker, Model.name)
        .where(col(Model.merged_into_id).is_(None))
        .order_by(col(Model.maker), col(Model.name)),
    )
    return tuple(f"{maker} {name}" for maker, name in rows)


def sorts_of(session: Session) -> tuple[str, ...]:
    """Return the equipment classes that items are of, by name."""
    rows = session.scalars(
        select(Model.equipment_class)
        .join(Item, col(Item.model_id) == Model.id)
        .where(col(Model.equipment_class).is_not(None), col(Item.merged_into_id).is_(None))
        .distinct()
        .order_by(col(Model.equipment_class)),
    )
    return tuple(one for one in rows if one)


def _facts(
    session: Session,
    settings: Settings,
    shared: Frame,
    where: Any,  # noqa: ANN401 - SQLAlchemy's own
) -> Facts:
    wanted = select(Item.id).where(where, col(Item.merged_into_id).is_(None))
    return gather.of_items(session, settings, shared, wanted)


def _named(session: Session, name: str) -> Any:  # noqa: ANN401 - SQLAlchemy's own
    if name in sorts_of(session):
        models = select(Model.id).where(Model.equipment_class == name)
        return col(Item.model_id).in_(models)
    try:
        return col(Item.model_id) == lookup.model(session, name).key
    except NotFoundError:
        return col(Item.id) == lookup.item(session, name).key
