"""Two models of different age: a verdict says so, since age alone makes a difference."""

from dataclasses import replace

from review_facts import facts_of

from kb.review.facts import Facts
from kb.review.parts import buying


def told(old: Facts, new: Facts) -> str:
    groups = {"Old one": old, "New one": new}
    return " ".join(buying.verdicts(groups, buying.judged(groups)).sentences)


def test_models_that_differ_in_age_are_said_to() -> None:
    old = facts_of("Old one", days=1461, failures=8)
    new = facts_of("New one", days=365, failures=0)

    assert (
        "half the units of Old one were over 4.0 years in service when last watched (1 unit), of"
        in told(old, new)
    )
    assert "New one over 1.0 (1 unit)" in told(old, new)


def test_models_of_one_age_are_not() -> None:
    old = facts_of("Old one", days=1461, failures=8)
    new = replace(facts_of("New one", days=1400, failures=0))

    assert "differ in age" not in told(old, new)
