import pytest

from kb.search import asking


def test_words_keep_their_writing_and_terms_their_weight() -> None:
    asked = asking.asked("The monitors hum")

    assert [piece.surface for piece in asked.words] == ["monitors", "hum"]
    assert asked.weights == {"monitor": 1.0, "hum": 1.0}


def test_a_word_asked_twice_counts_once() -> None:
    assert asking.asked("hum, hum, humming hum").weights == {"hum": 1.0}


def test_runs_of_words_may_be_names() -> None:
    assert asking.asked("laptop 3 hums").names == {
        "laptop3hums": "laptop 3 hums",
        "laptop3": "laptop 3",
        "3hums": "3 hums",
        "laptop": "laptop",
        "3": "3",
        "hums": "hums",
    }


@pytest.mark.parametrize(
    "text",
    [
        " ".join(f"word{n}" for n in range(10_000)),
        "x" * 1_000_000,
        "no " * 10_000,
        "a-b-c " * 10_000,
        '!?*~^"()[]{}: AND OR NOT ' * 1_000,
    ],
)
def test_work_on_a_pasted_text_is_bounded(text: str) -> None:
    asked = asking.asked(text)

    assert len(asked.weights) <= asking.TERM_LIMIT
    assert len(asked.names) <= 40
    assert all(len(term) <= 200 for term in asked.weights)


def test_what_comes_after_the_limit_is_not_read() -> None:
    assert "hum" in asking.asked("no " * 1_000 + "hum").weights
    assert "hum" not in asking.asked("no " * 10_000 + "hum").weights


@pytest.mark.parametrize("text", ["", " \n\t", "the of and", "?!*", "\x00\x07", "\u202e\u200f"])
def test_what_says_nothing_asks_for_nothing(text: str) -> None:
    asked = asking.asked(text)

    assert asked.words == ()
    assert asked.weights == {}


def test_a_whole_line_may_be_an_entrys_slug_or_title() -> None:
    assert asking.asked(" Call-silent ").whole == {"callsilent": "Call-silent"}
    assert asking.asked("no sound " * 50).whole == {}
