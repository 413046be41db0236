"""Every published value that is kept here is held by a test of the methods."""

from pathlib import Path

from published import CASES


def test_no_published_value_lies_here_without_a_test() -> None:
    told = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("*.py"))
    assert [number for number in CASES if f'"{number}"' not in told] == []
    assert len(CASES) == 55
