"""So often in so many seconds, by one and by all; what was refused doesn't count."""

from kb.web.limits import Limit


def test_one_may_so_often_and_then_waits() -> None:
    limit = Limit(each=2, total=9, seconds=60)

    assert [limit.wait("a", now) for now in (0, 10, 20, 59, 60, 61)] == [0, 0, 40, 1, 0, 9]
    assert limit.wait("b", 61) == 0


def test_all_together_may_so_often() -> None:
    limit = Limit(each=2, total=3, seconds=60)

    assert [limit.wait(who, 0) for who in "abcd"] == [0, 0, 0, 60]
    assert limit.wait("d", 60) == 0


def test_addresses_that_are_long_silent_are_forgotten() -> None:
    limit = Limit(each=1, total=10**9, seconds=1)
    for number in range(25_000):
        limit.wait(str(number), float(number))

    assert len(limit._tries) <= 10_001
