"""Who comes with a request: whoever sits at the machine, a paired phone, a script, a stranger."""

from dataclasses import dataclass

from fastapi import Request

from kb.records.kinds import Role, Strangers


@dataclass(frozen=True)
class Visitor:
    """Who comes.

    Attributes:
        role: What they may do; None for a stranger.
        person: In whose name; empty for who sits at the machine, or a stranger.
        device: From where, as the journal keeps it.
        is_here: Whether they sit at the machine itself.
        strangers: What strangers may do, told to them.
    """

    role: Role | None
    person: str = ""
    device: str = ""
    is_here: bool = False
    strangers: Strangers = Strangers.NOTHING


HERE = Visitor(Role.LEAD, device="page", is_here=True)


def of(request: Request) -> Visitor:
    """Return whom the guard let in; for what goes wrong before that, a stranger."""
    found: Visitor = getattr(request.state, "visitor", Visitor(None))
    return found
