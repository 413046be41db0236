"""`model`: listed, added, changed, merged."""

import pytest
from calls import Refused, Run


def test_models_are_listed_with_how_many_there_are(run: Run) -> None:
    lines = run("model", "list").out.splitlines()

    assert lines[0].split() == ["Maker", "Model", "Class", "Items", "Data", "Version"]
    assert [line.split() for line in lines[1:]] == [
        ["Halvetta", "Tern", "14", "call-computer", "2", "1"],
        ["Morvaxa", "Silo", "1T", "drive", "1", "1"],
        ["Ossprell", "Ribbonet", "3", "cable", "2", "length=3", "m", "1"],
        ["Yelkarn", "Aspen", "43", "multiview-monitor", "1", "1"],
    ]


def test_a_model_is_added_changed_and_merged(run: Run) -> None:
    added = run("model", "add", "Halvetta", "Tern 15", "--json")
    assert added.json == {"model": "Halvetta Tern 15"}
    run("item", "add", "CC-15", "--model", "Tern 15")
    changed = run("model", "change", "Tern 15", "--class", "call-computer", "--data", "screen=15")
    assert changed.out == "Tern 15 is changed.\n"
    line = next(x for x in run("model", "list", "--json").json if x["name"] == "Tern 15")
    assert (line["equipment_class"], line["technical"]) == ("call-computer", {"screen": "15"})

    assert run("model", "merge", "Tern 15", "Tern 14").out == "Tern 15 is one with Tern 14 now.\n"

    line = run("item", "see", "CC-15", "--json").json["line"]
    assert line["model"] == "Halvetta Tern 14"


def test_a_base_without_models_says_how_to_add_one(call: Run) -> None:
    call("init", "new", "--zone", "UTC")

    assert call("model", "list", "-w", "new").out == (
        "No model yet. Add one: kitlore model add --help\n"
    )


def test_the_second_writer_is_told_what_the_first_changed(run: Run) -> None:
    run("model", "change", "Tern 14", "--maker", "Halvettar", "--seen", 1)

    result = run("model", "change", "Tern 14", "--maker", "Halveta", "--seen", 1)

    assert result.code == 2
    assert "jp: maker 'Halvetta' -> 'Halvettar'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add", "Halvetta", "Tern 14"), "There is a model 'Halvetta Tern 14' already."),
        (("add", "", "Tern 15"), "maker: it is empty."),
        (("add", "X", "Y", "--class", "toaster"), "equipment class: 'toaster' is no class"),
        (("add", "X", "Y", "--data", "long"), "technical: 'long' is no NAME=VALUE."),
        (("add", "X"), "Usage: kitlore model add"),
        (("change", "Tern 14"), "option: say what to change"),
        (("change", "Tern 99", "--name", "x"), "No model 'Tern 99'."),
        (("merge", "Tern 14", "Tern 14"), "Tern 14 and Tern 14 are one model already."),
        (("merge", "Tern 14", "Silo 1T"), "Tern 14 is a call-computer, Silo 1T a drive."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("model", *words).startswith(told)
