"""`spare`: how many must lie ready, how many do, what is short."""

import pytest
from calls import Refused, Run


@pytest.fixture
def ruled(run: Run) -> Run:
    """Return what runs the command where leads, tape and a fast drive must lie ready."""
    leads = ("spare", "set", "HDMI leads", 3, "--model", "Ribbonet 3", "--place", "drawer C1")
    assert run(*leads).out == "3 of 'HDMI leads' must lie ready.\n"
    assert run("spare", "set", "tape", 4, "--on-hand", 5).code == 0
    fast = ("spare", "set", "fast drive", 1, "--model", "Silo 1T", "--needed-rate", "150 MB/s")
    assert run(*fast).code == 0
    return run


def ready(run: Run, *words: str) -> dict[str, int]:
    """Return how many lie ready by each rule that a call lists."""
    return {one["name"]: one["ready"] for one in run("spare", "list", *words, "--json").json}


def test_what_lies_ready_is_counted_and_what_is_short_is_told(ruled: Run) -> None:
    assert ready(ruled) == {"HDMI leads": 2, "fast drive": 0, "tape": 5}
    assert ready(ruled, "--short") == {"HDMI leads": 2, "fast drive": 0}
    lines = [" ".join(line.split()) for line in ruled("spare", "list").out.splitlines()]
    assert lines == [
        "Name Ready Wanted Short Place Of",
        "fast drive 0 1 1 Morvaxa Silo 1T",
        "HDMI leads 2 3 1 House/drawer C1 Ossprell Ribbonet 3",
        "tape 5 4 counted by hand",
    ]


def test_a_lead_in_use_is_no_spare(ruled: Run) -> None:
    ruled("link", "connect", "CC-01", "out", "MM-01", "in", "--cable", "HD-04")

    assert ready(ruled)["HDMI leads"] == 1
    assert ready(ruled, "--at", "2026-11-19 16:00")["HDMI leads"] == 1


def test_a_drive_that_writes_fast_enough_is_one(ruled: Run) -> None:
    ruled("drive", "test", "DR-01", "182 MB/s")

    assert ready(ruled, "--short") == {"HDMI leads": 2}


def test_a_rule_is_changed_and_counted_again_by_hand(ruled: Run) -> None:
    ruled("spare", "change", "HDMI leads", "--minimum", 2, "--name", "leads")
    assert ruled("spare", "change", "tape", "--on-hand", 3).out == "The rule 'tape' is changed.\n"
    ruled("spare", "change", "fast drive", "--needed-rate", "", "--model", "Silo 1T")

    assert ready(ruled, "--short") == {"tape": 3}
    assert "leads" in ready(ruled)


def test_a_rule_counts_several_models(ruled: Run) -> None:
    ruled("spare", "change", "HDMI leads", "--model", "Ribbonet 3", "--model", "Aspen 43")

    (line,) = (one for one in ruled("spare", "list", "--json").json if "leads" in one["name"])
    assert line["models"] == ["Ossprell Ribbonet 3", "Yelkarn Aspen 43"]


def test_a_rule_goes_out_of_use_and_its_name_is_free(ruled: Run) -> None:
    assert ruled("spare", "remove", "tape").out == "The rule 'tape' is out of use.\n"

    assert "tape" not in ready(ruled)
    assert ruled("spare", "set", "tape", 1, "--on-hand", 1).code == 0


def test_without_rules_it_says_how_to_add_one(run: Run) -> None:
    assert run("spare", "list").out == "No rule yet. Add one: kitlore spare set --help\n"
    assert run("spare", "list", "--short").out == "Nothing is short.\n"


def test_the_second_writer_is_told_what_the_first_changed(ruled: Run) -> None:
    ruled("spare", "change", "tape", "--on-hand", 4, "--seen", 1)

    for words in (("change", "tape", "--on-hand", 3), ("remove", "tape")):
        result = ruled("spare", *words, "--seen", 1)
        assert result.code == 2
        assert "jp: on hand '5' -> '4'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("set", "x"), "Usage: kitlore spare set"),
        (("set", "", "1", "--on-hand", "1"), "name: it is empty."),
        (("set", "x", "many", "--on-hand", "1"), "minimum: 'many' does not fit"),
        (("set", "x", "1"), "models: none is named."),
        (("set", "x", "1", "--model", "Tern 99"), "No model 'Tern 99'."),
        (
            ("set", "x", "1", "--model", "Tern 14", "--on-hand", "1"),
            "on hand: with models it's counted from their items.",
        ),
        (
            ("set", "x", "1", "--model", "Tern 14", "--needed-rate", "1 MB/s"),
            "needed rate: Halvetta Tern 14 is no drive.",
        ),
        (("set", "x", "1", "--model", "Silo 1T", "--needed-rate", "fast"), "needed rate: 'fast'"),
        (("change", "x", "--minimum", "1"), "No rule for spares 'x'. Known are: none yet."),
        (("change", "x"), "option: say what to change"),
        (("remove", "x"), "No rule for spares 'x'."),
        (("list", "--at", "soon"), "time: 'soon' is no time."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("spare", *words).startswith(told)
