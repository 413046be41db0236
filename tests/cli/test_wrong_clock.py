"""A machine whose clock is wrong: what the terminal writes then, and what it says."""

from datetime import UTC, datetime
from typing import Any

import calls
import pytest
from calls import NOW, Run

WOKE = datetime(1970, 1, 1, tzinfo=UTC)
LEAPT = datetime(2041, 7, 1, 9, 0, tzinfo=UTC)


def logged(run: Run) -> tuple[Any, str]:
    """Log a fault, and return when it was noticed and what was said beside it."""
    said = run("log", "CC-01", "no picture", "--json")
    number = said.json["fault"]
    found = run("fault", "see", str(number), "--json").json["line"]["noticed_at"]
    return datetime.fromisoformat(found), said.err


@pytest.mark.parametrize("wrong", [WOKE, LEAPT])
def test_what_is_written_goes_on_from_the_last_record(
    wrong: datetime, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(calls, "NOW", wrong)
    for _twice in range(2):
        noticed, said = logged(run)
        assert noticed == NOW
        assert "Set the clock" in said

    monkeypatch.setattr(calls, "NOW", NOW.replace(hour=18))
    noticed, said = logged(run)
    assert noticed == NOW.replace(hour=18)
    assert "Set the clock" not in said


@pytest.mark.parametrize("right", [LEAPT, NOW.replace(month=8)])
def test_a_clock_that_somebody_looked_at_is_believed(
    right: datetime, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(calls, "NOW", right)
    run("settings", f"clock_right={right:%Y-%m-%d}")

    assert logged(run) == (right, "")
    run("settings", "clock_right=")
    assert logged(run) == (right, "")
