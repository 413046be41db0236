"""Forms that come in more than once: a phone sends again what no answer came to.

What a form does and that it was done stand in one unit of work, so that after a cut either both
are kept or neither.
"""

import hashlib
import json
from collections.abc import Mapping

from sqlalchemy import bindparam, text
from sqlmodel import Session

from kb.records.tables.base import UtcTime
from kb.records.unit import writer

KEY = "client_key"
# Both engines know this clause; on PostgreSQL the second of two waits for the first.
_NOTE = text(
    "INSERT INTO delivery (digest, at) VALUES (:digest, :at) ON CONFLICT DO NOTHING",
).bindparams(bindparam("at", type_=UtcTime()))


def is_new(session: Session, address: str, form: Mapping[str, str]) -> bool:
    """Note that a form came in, and return whether it's the first time.

    The same key with the same words at the same address is the same form; other words are
    another one, whatever key they come with. A form without a key is always new.

    Args:
        session: The unit of work that does what the form asks for.
        address: Where it was sent.
        form: What it said, its key among it.
    """
    if not form.get(KEY):
        return True
    said = json.dumps([address, sorted(form.items())])
    digest = hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()
    found = session.connection().execute(_NOTE, {"digest": digest, "at": writer(session).at})
    return found.rowcount == 1
