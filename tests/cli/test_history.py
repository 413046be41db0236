"""`history`: who changed a record, when, from what to what."""

import pytest
from calls import Refused, Run


def test_every_change_is_told_with_names_and_local_times(run: Run) -> None:
    run("item", "change", "CC-01", "--note", "hinge stiff")
    run("item", "move", "CC-01", "rack R1", "--by", "jp")

    lines = run("history", "item", "CC-01").out.splitlines()

    assert lines[-4:] == [
        "2026-11-19 15:30  jp (terminal)",
        "  note: hinge stiff",
        "2026-11-19 15:30  jp (terminal)",
        "  place: Control room -> rack R1",
    ]
    assert "  noticed at: 2026-11-19 09:00" in run("history", "fault", 1).out.splitlines()


def test_what_was_emptied_became_nothing(run: Run) -> None:
    run("item", "change", "CC-01", "--note", "hinge stiff")
    run("item", "change", "CC-01", "--note", "")

    assert run("history", "item", "CC-01").out.endswith("  note: hinge stiff -> nothing\n")


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("item", "CC-01"),
        ("model", "Tern 14"),
        ("place", "House/rack R1"),
        ("entry", "audio-hum"),
        ("person", "jp"),
        ("fault", 1),
        ("attempt", 1),
        ("link", 1),
        ("show", 1),
        ("service", 1),
        ("loan", 1),
        ("test", 1),
    ],
)
def test_each_kind_of_record_has_its_history(kind: str, name: object, run: Run) -> None:
    run("fault", "try", 1, "--what", "waited", "--no-good")
    run("link", "connect", "CC-01", "out", "MM-01", "in")
    run("show", "add", "Panel 62", "--air", "20:00")
    run("service", "add", "test", "x", "CC-01")
    run("loan", "lend", "CC-01", "the school")
    run("drive", "test", "DR-01", "182 MB/s")

    first = run("history", kind, name, "--json").json[0]

    assert (first["version"], first["who"], first["device"]) == (1, "jp", "terminal")
    assert all(old is None for old, _new in first["changes"].values())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("gadget", "1"), "kind: 'gadget' is none of item, model,"),
        (("item", "CC-99"), "No item 'CC-99'."),
        (("entry", "nope"), "No entry 'nope'."),
        (("person", "Q."), "No person 'Q.'."),
        (("fault", "9"), "No fault '9'."),
        (("fault", "one"), "name: a fault goes by its number."),
        (("show", "9"), "No show '9'."),
        (("loan", str(10**20)), "name: a loan goes by its number."),
        (("item",), "Usage: kitlore history"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("history", *words).startswith(told)
