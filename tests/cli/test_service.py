"""`service`: recorded for several items, listed, due again, mended."""

import pytest
from calls import Refused, Run


@pytest.fixture
def serviced(run: Run) -> Run:
    """Return what runs the command where two leads were inspected."""
    added = run(
        *("service", "add", "inspection", "flexed both ends", "HD-04=pass", "HD-05=fail"),
        *("--tester", "jp", "--cost", "12.50", "--next-due", "2026-11-18", "--fault", 1),
    )
    assert added.out == "Service 1: inspection of HD-04=pass, HD-05=fail.\n"
    return run


def test_each_item_has_its_own_result(serviced: Run) -> None:
    for name, result in (("HD-04", "pass"), ("HD-05", "fail")):
        (line,) = serviced("service", "list", name, "--json").json
        assert (line["result"], line["cost_minor"], line["fault"]) == (result, 1250, 1)
    out = " ".join(serviced("service", "list", "HD-04").out.split())
    assert out.endswith("1 2026-11-19 inspection pass flexed both ends 2026-11-18")


def test_a_service_is_shown_with_every_item(serviced: Run) -> None:
    lines = serviced("service", "see", 1).out.splitlines()

    assert [" ".join(line.split()) for line in lines] == [
        "Service 1: inspection",
        "Work flexed both ends",
        "When 2026-11-19 15:30",
        "By jp",
        "Cost 12.50 EUR",
        "Next due 2026-11-18",
        "Fault 1",
        "Version 1",
        "",
        "Item Result Note",
        "HD-04 pass",
        "HD-05 fail",
    ]
    assert len(serviced("service", "see", 1, "--json").json) == 2


def test_a_result_may_be_left_out(run: Run) -> None:
    assert run("service", "add", "cleaning", "dust", "CC-01", "--json").json == {"service": 1}
    assert run("service", "list", "CC-01", "--json").json[0]["result"] is None


def test_what_is_due_again_until_a_newer_service_says_otherwise(serviced: Run) -> None:
    assert [one["name"] for one in serviced("service", "due", "--json").json] == ["HD-04", "HD-05"]
    assert "HD-04" in serviced("service", "due").out
    assert serviced("service", "due", "--until", "2026-11-17").out == (
        "Nothing is due by 2026-11-17.\n"
    )

    serviced("service", "add", "inspection", "flexed", "HD-04=pass", "--next-due", "2027-05-18")

    assert [one["name"] for one in serviced("service", "due", "--json").json] == ["HD-05"]


def test_services_are_listed_newest_first_and_no_more_than_asked(serviced: Run) -> None:
    serviced("service", "add", "repair", "new plug", "HD-04", "--at", "2026-11-19 14:00")
    assert serviced("service", "list", "CC-01").out == "No service yet.\n"

    kinds = [line["kind"] for line in serviced("service", "list", "HD-04", "--json").json]
    assert kinds == ["inspection", "repair"]
    assert len(serviced("service", "list", "HD-04", "--limit", 1, "--json").json) == 1


def test_a_service_is_mended_and_an_item_taken_out(serviced: Run) -> None:
    serviced("service", "change", 1, "--item", "HD-04=marginal", "--next-due", "", "--at", "09:00")

    (line,) = serviced("service", "see", 1, "--json").json
    assert (line["name"], line["result"], line["next_due"]) == ("HD-04", "marginal", None)
    assert line["at"] == "2026-11-19T09:00:00+00:00"
    assert serviced("service", "list", "HD-05", "--json").json == []


def test_the_second_writer_is_told_what_the_first_changed(serviced: Run) -> None:
    serviced("service", "change", 1, "--item", "HD-04=marginal", "--seen", 1)

    result = serviced("service", "change", 1, "--work", "x", "--seen", 1)

    assert result.code == 2
    assert "jp: items 'HD-04=pass, HD-05=fail' -> 'HD-04=marginal'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add", "poking", "x", "HD-04"), "Usage: kitlore service add"),
        (("add", "test", "x"), "Usage: kitlore service add"),
        (("add", "test", "", "HD-04"), "work: it is empty."),
        (("add", "test", "x", "HD-04=good"), "items: 'good' is none of 'pass'"),
        (("add", "test", "x", "HD-04", "HD-04"), "items: HD-04 is named twice."),
        (("add", "test", "x", "HD-99"), "No item 'HD-99'."),
        (("add", "test", "x", "HD-04", "--cost", "much"), "cost: 'much' is no amount."),
        (("add", "test", "x", "HD-04", "--fault", "9"), "No fault '9'."),
        (("add", "test", "x", "HD-04", "--fault", "one"), "fault: 'one' does not fit"),
        (("list", "HD-99"), "No item 'HD-99'."),
        (("see", "9"), "No service '9'."),
        (("see", str(10**20)), "No service '1000"),
        (("due", "--until", "soon"), "time: 'soon' is no time."),
        (("change", "9", "--work", "x"), "No service '9'."),
        (("change", "9"), "option: say what to change"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("service", *words).startswith(told)
