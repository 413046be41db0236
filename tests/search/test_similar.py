"""The second list by meaning: its sums by hand on a toy encoder; the real one where it's there."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from kb.search import index, query, similar
from kb.search.documents import Document
from kb.search.listing import Wish
from kb.search.reading import Reader
from kb.search.similar import Encode, Near, Similar, Vectors

Make = Callable[..., Document]
LETTERS = "abc"


class Toy:
    """As many of each letter as a line holds."""

    calls = 0

    def embed(self, lines: Sequence[str], *, norm: bool) -> Vectors:
        self.calls += 1
        assert norm
        return np.array([[line.count(x) for x in LETTERS] for line in lines], dtype=np.float32)


def test_nearness_is_to_the_nearest_line_and_to_all_on_the_whole() -> None:
    near = Similar(Encode(Toy()), [["aa", "ab"], ["cc"], ["bc"]])

    assert np.argmax(near.scores("a")) == 0
    assert np.argmax(near.scores("CCC")) == 1
    middle = np.array([3, 2, 3]) / 4
    lines = [
        vector / np.linalg.norm(vector) for vector in np.array([[2, 0, 0], [1, 1, 0]]) - middle
    ]
    asked = np.array([1, 0, 0]) - middle
    asked /= np.linalg.norm(asked)
    whole = sum(lines) / np.linalg.norm(sum(lines))
    by_hand = max(line @ asked for line in lines) + whole @ asked
    assert near.scores("a")[0] == pytest.approx(by_hand, abs=1e-6)


def test_the_lines_are_read_once_for_each_state_of_the_index() -> None:
    toy = Toy()
    lines = {7: ["aa"], 9: ["cc"]}
    for mark in ("one", "one", "two"):
        near = similar.of_lines(Encode(toy), mark, lambda: lines)
        assert set(near("a")) == {7, 9}

    assert toy.calls == 2 + 3
    assert similar.of_lines(Encode(toy), "none", dict)("a") == {}


def test_the_second_list_lifts_what_the_words_alone_put_second(folder: Path, make: Make) -> None:
    entries = [make("entry", "one", "zeta zeta"), make("entry", "two", "zeta omega pi rho")]
    index.rebuild(folder, "entries", entries, until="1")

    def meaning(_folder: Path, reader: Reader) -> Near:
        numbers = {reader.found(number).key: number for number in reader.lines()}
        return lambda text: {numbers["one"]: 0.0, numbers["two"]: float("zeta" in text)}

    plain = query.search(folder, "zeta")
    with query.opened(folder, meaning) as opened:
        lifted = query.answer(opened, "ZETA", Wish())
        assert [hit.key for hit in lifted.hits] == ["two", "one"]
        assert query.answer(opened, "the of", Wish()).hits == ()
    assert [hit.key for hit in plain.hits] == ["one", "two"]


@pytest.mark.slow
@pytest.mark.skipif(not similar.installed(), reason="the extra is not installed")
def test_the_real_vectors_tell_what_means_the_same(folder: Path, make: Make) -> None:
    entries = [
        make("entry", "power", "Battery is empty", symptoms="it has run out of charge"),
        make("entry", "noise", "Loud hum", symptoms="a deep tone under the voices"),
        make("entry", "file", "Document will not open", symptoms="the file is damaged"),
    ]
    index.rebuild(folder, "entries", entries, until="1")

    with query.opened(folder, similar.meaning) as opened:
        assert opened.near is not None
        near = opened.near("the accumulator is flat")
        reader = opened.readers["entries"]
        assert reader.found(max(near, key=lambda number: near[number])).key == "power"
