"""A tech may what a reader may, a lead all of it; who has no role may what is open to all."""

import pytest

from kb.crew import roles
from kb.records.kinds import Role

R, T, L = Role.READER, Role.TECH, Role.LEAD


@pytest.mark.parametrize(
    ("role", "may"),
    [(None, {None}), (R, {None, R}), (T, {None, R, T}), (L, {None, R, T, L})],
)
def test_a_role_includes_those_below(role: Role | None, may: set[Role | None]) -> None:
    assert {needed for needed in (None, R, T, L) if roles.covers(role, needed)} == may


def test_of_two_the_one_that_may_less() -> None:
    assert roles.lesser(L, R) is R
    assert roles.lesser(T, L) is T
