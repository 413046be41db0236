"""Mend or replace: the yearly costs of both, worked out by hand beside the method's own checks."""

from dataclasses import replace as but
from datetime import date

import pytest
from review_facts import FRAME, facts_of

from kb.errors import InvalidError
from kb.review.parts.replacing import Offer, mend_or_replace

YEAR = 1461  # days of four years, so that a rate is a round number


def rows(part: object) -> list[dict[str, object]]:
    return part.table.named()  # type: ignore[attr-defined, no-any-return]


def test_the_yearly_costs_are_those_worked_out_by_hand() -> None:
    # Two failures in four unit-years, each of 100 minutes at 12.00: 0.5 * 1,200.00 a year.
    old = facts_of("Old one", days=YEAR, failures=2, minutes=100)
    new = facts_of("New one", days=YEAR, failures=0, minutes=0)
    offer = Offer(price=100_000, repair=20_000, worth=10_000, resale=(60_000,), years=2)

    found = rows(mend_or_replace("U-1", old, new, offer))

    # Kept a year: 100.00 + 200.00 and 600.00 of failures; two years: half of the former.
    assert found[0]["Old, a year"] == pytest.approx(90_000)
    assert found[1]["Old, a year"] == pytest.approx(75_000)
    # The new one fetches 600.00 after a year and nothing after two; it never failed.
    assert found[0]["New, a year"] == pytest.approx(40_000)
    assert found[1]["New, a year"] == pytest.approx(50_000)
    assert all(one["Low"] < one["Old, a year"] < one["High"] for one in found)  # type: ignore[operator]
    assert all(one["Low, new"] == one["New, a year"] < one["High, new"] for one in found)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("price", "repair", "told"),
    [(10_000, 900_000, "Replace U-1"), (9_000_000, 0, "Mend U-1"), (150_000, 0, "doesn't decide")],
)
def test_the_verdict_waits_for_limits_that_part(price: int, repair: int, told: str) -> None:
    old = facts_of("Old one", days=YEAR, failures=2, minutes=100)
    new = facts_of("New one", days=YEAR, failures=1, minutes=100)

    part = mend_or_replace("U-1", old, new, Offer(price=price, repair=repair))

    assert told in part.sentences[0]


def test_without_a_price_the_most_paid_is_taken_and_without_any_it_is_asked() -> None:
    old = facts_of("Old one", days=YEAR, failures=2, minutes=100)
    new = facts_of("New one", days=YEAR, failures=0, minutes=0)
    paid = but(new, units=tuple(but(unit, price=123_400) for unit in new.units))

    assert (
        "the new one costs 1,234.00 GBP" in mend_or_replace("U-1", old, paid, Offer()).sentences[3]
    )
    with pytest.raises(InvalidError, match="price"):
        mend_or_replace("U-1", old, new, Offer())


def test_what_was_never_exposed_has_no_verdict() -> None:
    old = facts_of("Old one", days=YEAR, failures=2, minutes=100)
    new = but(old, units=())

    part = mend_or_replace("U-1", old, new, Offer(price=1))

    assert part.table is None
    assert "aren't known" in part.sentences[0]


def test_an_open_warranty_is_told_before_money_is_spent() -> None:
    old = facts_of("Old one", days=YEAR, failures=2, minutes=100)
    units = tuple(but(unit, warranty_until=date(2099, 1, 1)) for unit in old.units)

    part = mend_or_replace("U-1", but(old, units=units), old, Offer(price=1))

    assert part.sentences[-1].startswith("Its warranty is open until 2099-01-01")
    assert FRAME.currency == "GBP"
