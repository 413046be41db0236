"""What a role includes: a tech may what a reader may, a lead all of it."""

from kb.records.kinds import Role

_RANKS = {Role.READER: 1, Role.TECH: 2, Role.LEAD: 3}


def covers(role: Role | None, needed: Role | None) -> bool:
    """Return whether a role is enough; None needed is open to everybody, None had is nobody's."""
    return _rank(role) >= _rank(needed)


def lesser(first: Role, second: Role) -> Role:
    """Return the one of two roles that may less."""
    return min(first, second, key=_rank)


def _rank(role: Role | None) -> int:
    return _RANKS[role] if role else 0
