import pytest

from kb.entries import form


@pytest.mark.parametrize(
    ("seconds", "written"), [(1, "1s"), (59, "59s"), (60, "1min"), (90, "90s"), (3600, "60min")]
)
def test_whole_minutes_are_written_as_minutes(seconds: int, written: str) -> None:
    assert form.duration(seconds) == written
