"""The other words of the review, on the invented studio: text, JSON, and what is wrong."""

from pathlib import Path

import pytest
from calls import Run, called

pytestmark = pytest.mark.slow


@pytest.fixture
def review(demo_made: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("KITLORE_WORKSPACE", str(demo_made))
    monkeypatch.setenv("LOGNAME", "jp")

    return lambda *words: called("review", *words)


def told(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("class", "cable"), "Ossprell Ribbonet 3 is clearly worse than Yelkarn Stout 2"),
        (("class", "cable"), "What would settle it:"),
        (("class", "recorder"), "worsening over 13 failures"),
        (("causes", "recorder", "--model", "Granary 4"), "3 of the 16 failures seen on them"),
        (("hindsight",), "Granary 4 firmware 7.2"),
        (("hindsight", 16), "Counted: reports of 'display-colour-shift' on CC-05"),
        (("drives",), "Needed: 41.25 MB/s"),
        (("drives", "--needed", 100), "Needed: 100 MB/s"),
        (("fixes",), "cable-intermittent"),
        (("repairs", "recorder"), "Mean time to restoration"),
        (("repairs", "drive"), "drive-days)"),
        (("money", "recorder"), "failures expected from 13 failures in 2,164 unit-days"),
        (("never",), "Morvaxa Silo 1T is clearly worse than Morvaxa Silo 2T Pro"),
        (("replace", "RC-01", "--model", "Granary 6", "--price", 1690), "a year"),
    ],
)
def test_each_word_says_what_it_found(
    review: Run, words: tuple[object, ...], sentence: str
) -> None:
    result = review(*words)

    assert (result.code, result.err) == (0, "")
    assert sentence in told(result.out)


def test_json_of_a_class_holds_the_verdicts(review: Run) -> None:
    (job,) = review("class", "recorder", "--json").json["jobs"]

    assert job["compared"][0]["verdict"] == "clearly worse"
    first = job["models"][0]
    assert (first["name"], first["failures"], first["mean_time"]) == (
        "Morvaxa Granary 4",
        13,
        None,
    )
    assert "mean elapsed time between failures" in first["withheld"]
    assert all("unit-days" in line for line in first["lines"])
    assert not any("Cook, Lawless" in line for line in first["lines"])  # not in the report


@pytest.mark.parametrize(
    "words",
    [
        ("causes", "recorder"),
        ("hindsight",),
        ("hindsight", 16),
        ("drives",),
        ("repairs", "drive"),
        ("fixes",),
        ("money",),
        ("never",),
        ("replace", "RC-01", "--model", "Granary 6", "--price", 1690),
    ],
)
def test_json_of_each_word(review: Run, words: tuple[object, ...]) -> None:
    assert review(*words, "--json").json


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("class", "sofa"), "No item of class 'sofa'."),
        (("causes", "recorder", "--model", "Sofa 2"), "No unit of model 'Sofa 2'."),
        (("hindsight", 999), "No service '999'."),
        (("hindsight", 15), "watched both before and after 2026-03-16"),
        (("class", "recorder", "--confidence", 2), "is not between 0 and 1"),
        (("money", "--service-level", 2), "is not between 0 and 1"),
        (
            ("replace", "RC-01", "--model", "Granary 6", "--price", 5, "--life", 0),
            "no year in them",
        ),
    ],
)
def test_what_is_wrong_is_named(review: Run, words: tuple[object, ...], sentence: str) -> None:
    result = review(*words)

    assert (result.code, result.out) == (2, "")
    assert sentence in told(result.err)
