"""`link`: what hangs up and down, joined, ended, a lead swapped, a slip mended."""

import pytest
from calls import Refused, Run

JOIN = ("link", "connect", "CC-01", "out 1", "MM-01", "in 3", "--cable", "HD-04")


@pytest.fixture
def joined(run: Run) -> Run:
    """Return what runs the command where HD-04 joins CC-01 and MM-01."""
    assert run(*JOIN, "--at", "09:00").out == "Link 1: CC-01 out 1 to MM-01 in 3.\n"
    return run


def cables(run: Run, item: str, *words: str) -> tuple[list[str], list[str]]:
    """Return the cables up and down of an item."""
    found = run("link", "list", item, *words, "--json").json
    up, down = ([one["link"]["cable"] for one in found[way]] for way in ("up", "down"))
    return up, down


def test_what_feeds_an_item_and_what_it_feeds(joined: Run) -> None:
    assert cables(joined, "MM-01") == (["HD-04"], [])
    assert cables(joined, "CC-01") == ([], ["HD-04"])
    lines = joined("link", "list", "MM-01").out.splitlines()
    assert [" ".join(line.split()) for line in lines] == [
        "What feeds it",
        "Step Link From To Cable Since",
        "1 1 CC-01 out 1 MM-01 in 3 HD-04 2026-11-19",
        "",
        "What it feeds",
        "Nothing.",
    ]


def test_a_path_is_shown_step_by_step(joined: Run) -> None:
    joined("link", "connect", "CC-02", "out", "CC-01", "in", "--cable", "HD-05")

    up = joined("link", "list", "MM-01", "--json").json["up"]

    assert [(one["depth"], one["link"]["cable"]) for one in up] == [(1, "HD-04"), (2, "HD-05")]


def test_a_lead_without_a_label_joins_too(run: Run) -> None:
    assert run("link", "connect", "CC-01", "out", "MM-01", "in", "--json").json == {"link": 1}
    assert "(no label)" in run("link", "list", "MM-01").out


def test_what_was_joined_before_stays_known(joined: Run) -> None:
    assert joined("link", "disconnect", "HD-04", "--at", "10:00").out == "Link 1 has ended.\n"

    assert cables(joined, "MM-01") == ([], [])
    assert cables(joined, "MM-01", "--at", "09:30") == (["HD-04"], [])


def test_a_link_without_a_cable_ends_by_its_number(run: Run) -> None:
    run("link", "connect", "CC-01", "out", "MM-01", "in")

    assert run("link", "disconnect", "link 1").out == "Link 1 has ended.\n"


def test_a_lead_is_swapped_between_the_same_ports(joined: Run) -> None:
    assert joined("link", "replace", "HD-04", "HD-05").out == "Link 2: HD-05 in place of HD-04.\n"
    assert cables(joined, "MM-01") == (["HD-05"], [])


def test_a_slip_is_mended(joined: Run) -> None:
    assert joined("link", "change", 1, "--cable", "HD-05", "--to-port", "in 4").code == 0
    joined("link", "change", 1, "--since", "08:00", "--until", "10:00")
    joined("link", "change", 1, "--until", "")

    link = joined("link", "list", "MM-01", "--json").json["up"][0]["link"]

    assert (link["cable"], link["to_port"], link["until"]) == ("HD-05", "in 4", None)
    assert link["since"] == "2026-11-19T08:00:00+00:00"


def test_the_second_writer_is_told_what_the_first_changed(joined: Run) -> None:
    joined("link", "change", 1, "--cable", "HD-05", "--seen", 1)

    result = joined("link", "change", 1, "--to-port", "in 4", "--seen", 1)

    assert result.code == 2
    assert "jp: cable 'HD-04' -> 'HD-05'." in result.err


def test_a_port_in_use_says_by_what(joined: Run) -> None:
    result = joined("link", "connect", "CC-02", "out 1", "MM-01", "in 3")

    assert result.code == 2
    assert result.err.startswith("MM-01 in 3 is in use: HD-04 joins CC-01 out 1 to MM-01 in 3")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("list", "CC-99"), "No item 'CC-99'."),
        (("list", "CC-01", "--at", "noon"), "time: 'noon' is no time."),
        (("connect", "CC-01", "out", "CC-99", "in"), "No item 'CC-99'."),
        (("connect", "CC-01", "out", "CC-01", "out"), "to port: that joins a port to itself."),
        (("connect", "CC-01", "", "MM-01", "in"), "from port: it is empty."),
        (
            ("connect", "CC-01", "out", "MM-01", "in", "--cable", "CC-02"),
            "cable: CC-02 is of the class call-computer, so it's no cable.",
        ),
        (("connect", "CC-01", "out", "MM-01"), "Usage: kitlore link connect"),
        (("disconnect", "HD-04"), "No link by the cable 'HD-04'."),
        (("disconnect", "link 9"), "No link '9'."),
        (("replace", "HD-04", "HD-05"), "No link by the cable 'HD-04'."),
        (("change", "9", "--to-port", "x"), "No link '9'."),
        (("change", str(10**20), "--to-port", "x"), "No link '1000"),
        (("change", "1"), "option: say what to change"),
        (("change", "one", "--to-port", "x"), "Usage: kitlore link change"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("link", *words).startswith(told)
