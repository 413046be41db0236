"""`entries words`: what the words of the entries mean, without a workspace too."""

import pytest
from calls import Refused, Run


def test_every_word_is_told_in_eighty_columns(call: Run) -> None:
    lines = call("entries", "words").out.splitlines()

    assert lines[0] == "access point"
    assert max(map(len, lines)) <= 80
    assert "mix-minus (also N-1)" in lines


@pytest.mark.parametrize("typed", ["mix-minus", "Mix-Minus", "n-1", " N-1 "])
def test_a_word_is_found_by_any_of_its_names(typed: str, call: Run) -> None:
    (found,) = call("entries", "words", typed, "--json").json

    assert (found["word"], found["also"]) == ("mix-minus", ["N-1"])
    assert "own voice" in found["meaning"]


def test_a_word_that_nobody_explained(refused: Refused) -> None:
    assert refused("entries", "words", "flux").startswith("No word 'flux'.")
