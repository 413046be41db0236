import pytest

from kb.entries import spoken
from kb.entries.model import Check, Fix, Swap
from kb.entries.words import Disruption


@pytest.mark.parametrize(
    ("seconds", "told"), [(20, "20 s"), (60, "1 min"), (90, "1 min 30 s"), (180, "3 min")]
)
def test_a_duration_is_told_in_minutes_and_seconds(seconds: int, told: str) -> None:
    assert spoken.duration(seconds) == told


@pytest.mark.parametrize(
    ("act", "told"),
    [
        (Check("a", "A?", 5), "5 s"),
        (Swap("A", 180), "3 min"),
        (Swap("A", 180, 600), "3 min, at worst 10 min"),
        (Fix("a", "A", 20), "20 s, interrupts nothing"),
        (
            Fix("a", "A", 60, 120, Disruption.THIS_SOURCE),
            "1 min, at worst 2 min, interrupts this source",
        ),
        (Fix("a", "A", 60, None, Disruption.WHOLE_SHOW), "1 min, interrupts the whole show"),
    ],
)
def test_the_price_says_how_long_and_what_it_interrupts(
    act: Check | Fix | Swap, told: str
) -> None:
    assert spoken.price(act) == told
