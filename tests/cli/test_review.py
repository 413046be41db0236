"""`review models`: the form that scripts rely on, and how it reads."""

import pytest
from calls import Refused, Run


@pytest.fixture
def used(run: Run) -> Run:
    """Return what runs the command where two laptops ran for a year, and one failed."""
    for name in ("CC-01", "CC-02"):
        assert run("item", "change", name, "--in-service", "2026-01-01").code == 0
    assert run("fault", "close", 1, "--kind", "own failure").code == 0
    return run


def test_json_has_the_form_that_scripts_rely_on(used: Run) -> None:
    found = used("review", "models", "--until", "2027-01-01", "--json").json

    assert (found["from"], found["until"], found["confidence"]) == (
        "2026-01-01",
        "2027-01-01",
        0.9,
    )
    (row,) = found["models"]
    assert {"model", "class", "units", "unit_days", "failures", "rate", "low", "high"} <= set(row)
    assert (row["model"], row["class"]) == ("Halvetta Tern 14", "call-computer")
    assert (row["units"], row["unit_days"], row["failures"]) == (2, 730, 1)
    # One failure in 730 unit-days; a year has 365.25 days. The exact limits at 90 % for one
    # event are 0.0513 and 4.744 (Garwood 1936, in any table of the chi-squared distribution).
    years = 730 / 365.25
    assert row["rate"] == pytest.approx(1 / years)
    assert row["low"] == pytest.approx(0.0513 / years, abs=5e-5)
    assert row["high"] == pytest.approx(4.744 / years, abs=5e-4)
    assert {one["item"] for one in found["left_out"]} == {"DR-01", "HD-04", "HD-05", "MM-01"}


def test_the_interval_is_printed_with_the_rates(used: Run) -> None:
    out = used("review", "models", "--until", "2027-01-01", "--confidence", 0.95).out

    assert "exact two-sided 95 %" in " ".join(out.split())
    assert "Halvetta Tern 14" in out
    assert "Left out" in out


def test_days_narrow_the_time(used: Run) -> None:
    words = ("--from", "2026-11-01", "--until", "2026-11-11", "--json")

    (row,) = used("review", "models", *words).json["models"]

    assert (row["unit_days"], row["failures"]) == (20, 0)


def test_a_model_without_a_failure_is_told_in_words(used: Run) -> None:
    out = used("review", "models", "--from", "2026-11-01", "--until", "2026-11-11").out

    assert "No model failed in this time." in out
    assert "\nWithout a failure\n- Halvetta Tern 14 (2 units): " in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--from", "soon"), "Usage: kitlore review models"),
        (("--from", "2026-13-01"), "Usage: kitlore review models"),
        (("--confidence", "1"), "confidence: 1 is not between 0 and 1."),
        (("--confidence", "much"), "Usage: kitlore review models"),
        (("--from", "2026-11-01", "--until", "2026-10-01"), "days: they end on 2026-10-01"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("review", "models", *words).startswith(told)
