"""What is known beside the words: the item that was scanned."""

from sqlmodel import Session

from kb.entries import library, parse
from kb.gear import lookup
from kb.records.tables.gear import Model

# Own choice, no source: enough to lift an entry of the item's class over one whose words fit
# about as well, too little to lift one whose words don't fit.
CLASS_FACTOR = 1.3


def boosts(session: Session, typed: str) -> dict[str, float]:
    """Return entry slug -> factor on its score, for a search with an item at hand.

    Args:
        session: The unit of work.
        typed: The item's code or name.

    Raises:
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    model = lookup.by_key(session, Model, item.model_id) if item.model_id else None
    if model is None or model.equipment_class is None:
        return {}
    wanted = model.equipment_class
    # Most entries don't even hold the word; parsing takes longer than all else here.
    texts = [text for text in library.texts(session).values() if wanted in text]
    entries = map(parse.entry_from, texts)
    return {entry.slug: CLASS_FACTOR for entry in entries if wanted in entry.classes}
