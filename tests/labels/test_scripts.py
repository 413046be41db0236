"""Words are drawn in the order and form in which they're seen."""

import pytest

from kb.labels import scripts


@pytest.mark.parametrize(
    ("written", "seen"),
    [
        ("CC-01 (left)", "CC-01 (left)"),
        # UAX 9: letters from right to left, numbers from left to right, brackets mirrored.
        ("\u05d0\u05d1\u05d2", "\u05d2\u05d1\u05d0"),
        ("\u05d0\u05d1 12", "12 \u05d1\u05d0"),
        ("CC \u05d0\u05d1 (x)", "CC \u05d1\u05d0 (x)"),
        ("\u05d0 (\u05d1)", "(\u05d1) \u05d0"),
        # Unicode's table of Arabic forms: beh at the beginning, in the middle and at the end.
        ("\u0628\u0628\u0628", "\ufe90\ufe92\ufe91"),
        ("\u0628", "\ufe8f"),
        # Lam and alef are always one shape (The Unicode Standard, 9.2).
        ("\u0644\u0627", "\ufefb"),
    ],
)
def test_characters_stand_as_they_are_seen(written: str, seen: str) -> None:
    assert scripts.drawn(written) == seen
