"""How often something may be tried: so often in so many seconds, by one address and by all."""

from collections import deque
from dataclasses import dataclass, field

_MOST_KEYS = 10_000


@dataclass
class Limit:
    """A limit on tries.

    Attributes:
        each: How many one address may make.
        total: How many all of them may make.
        seconds: In how many seconds.
    """

    each: int
    total: int
    seconds: float
    _tries: dict[str, deque[float]] = field(default_factory=dict)
    _all: deque[float] = field(default_factory=deque)

    def wait(self, who: str, now: float) -> float:
        """Count a try and return 0; where it's one too many, count nothing and return how long.

        Args:
            who: The address it comes from.
            now: Seconds of a clock that only goes forward.
        """
        if len(self._tries) >= _MOST_KEYS:
            self._forget(now)
        mine = self._tries.setdefault(who, deque())
        for tries in (mine, self._all):
            while tries and now - tries[0] >= self.seconds:
                tries.popleft()
        for tries, most in ((mine, self.each), (self._all, self.total)):
            if len(tries) >= most:
                return self.seconds - (now - tries[0])
        mine.append(now)
        self._all.append(now)
        return 0.0

    def _forget(self, now: float) -> None:
        """Forget addresses that are silent for so long that they may try again."""
        fresh = {
            who: tries
            for who, tries in self._tries.items()
            if tries and now - tries[-1] < self.seconds
        }
        self._tries = fresh


def usual() -> dict[str, Limit]:
    """Return the limits on what anybody may try: the way in, a fault left, a calendar's key."""
    return {
        "pair": Limit(10, 60, 60.0),
        "report": Limit(5, 30, 600.0),
        "feed": Limit(10, 60, 60.0),
    }
