"""What no figure can be made of is refused with what is wrong."""

import pytest

from kb.errors import InvalidError
from kb.review.methods import inputs


@pytest.mark.parametrize("value", [0, 1, -0.1, 90])
def test_no_confidence(value: float) -> None:
    with pytest.raises(InvalidError, match=r"Give 0\.9"):
        inputs.confidence(value)


@pytest.mark.parametrize("value", [-1, 1.5, float("nan"), float("inf")])
def test_no_count(value: float) -> None:
    with pytest.raises(InvalidError, match="Count again"):
        inputs.count("failures", value)  # type: ignore[arg-type]


def test_no_numbers() -> None:
    with pytest.raises(InvalidError, match="infinite"):
        inputs.numbers("ages", [1, float("nan")])
    with pytest.raises(InvalidError, match="not above 0"):
        inputs.numbers("ages", [1, 0], above=0)
    assert list(inputs.numbers("ages", [], above=0)) == []


def test_lists_that_don_t_match() -> None:
    with pytest.raises(InvalidError, match="2 against 1"):
        inputs.alike("ends", [1, 2], [1])
