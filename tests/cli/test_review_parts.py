"""The reviews in parts, in the terminal: told, as JSON, as CSV, on paper."""

from pathlib import Path

import pytest
from calls import Run, called

pytestmark = pytest.mark.slow


@pytest.fixture
def told(demo_made: Path) -> Run:
    return lambda *words: called("-w", demo_made, "review", *words)


@pytest.mark.parametrize(
    ("words", "title", "parts"),
    [
        (("model", "Granary 4"), "Morvaxa Granary 4", {"rate", "trend", "hidden", "costs"}),
        (("item", "RC-02"), "RC-02", {"rate", "causes"}),
        (("buy", "recorder"), "Before you buy: recorder", {"verdict", "never", "spares"}),
        (("before", "Tern 14", "2026-03-19"), "Tern 14, before and after", {"hindsight"}),
        (("first", "--rank", "cost"), "What to look at first", {"first"}),
        (("drives",), "Drives", {"speed"}),
        (("fixes",), "What worked", {"fixes"}),
    ],
)
def test_each_review_is_told_and_is_json_with_what_it_rests_on(
    words: tuple[str, ...], title: str, parts: set[str], told: Run
) -> None:
    out = told(*words).out
    assert out.startswith(title)
    assert "limits two-sided 90 %" in " ".join(out.split())
    assert all(len(line) <= 80 for line in out.splitlines()), out
    found = told(*words, "--json").json
    assert found["title"] == title
    assert (found["from"], found["confidence"], found["log_began"]) == (
        "2025-05-01",
        0.9,
        "2025-05-01",
    )
    assert parts <= {one["part"] for one in found["parts"]}


def test_a_part_s_table_is_csv(told: Run) -> None:
    lines = told("drives", "--csv", "speed").out.splitlines()
    assert lines[0].startswith('"Drive","Model","Tests"')
    assert len(lines) == 1 + 16


def test_the_window_and_the_confidence_are_the_asker_s(told: Run) -> None:
    days = ("--from", "2026-01-01", "--until", "2026-07-01", "--confidence", "0.95")
    found = told("model", "Granary 4", *days, "--json").json
    assert (found["from"], found["until"], found["confidence"]) == (
        "2026-01-01",
        "2026-07-01",
        0.95,
    )


def test_a_review_is_printed(told: Run, tmp_path: Path) -> None:
    told("buy", "recorder", "--out", tmp_path / "recorders.pdf")
    assert (tmp_path / "recorders.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    "words",
    [
        ("model", "Nothing 9"),
        ("item", "ZZ-99"),
        ("buy", "nothing"),
        ("drives", "--csv", "nothing"),
        ("drives", "--out", "drives.txt"),
        ("drives", "--confidence", "2"),
    ],
)
def test_what_isn_t_there_is_told(words: tuple[str, ...], demo_made: Path) -> None:
    refused = called("-w", demo_made, "review", *words)
    assert refused.code in {1, 2}
    assert "Traceback" not in refused.err
