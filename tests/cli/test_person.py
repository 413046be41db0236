"""`person`: listed, added, changed, merged, forgotten."""

import pytest
from calls import Refused, Run


def people(run: Run) -> dict[str, str]:
    """Return everybody's name and role."""
    return {one["name"]: one["role"] for one in run("person", "list", "--json").json}


def test_who_made_the_workspace_is_its_first_lead(run: Run) -> None:
    assert people(run) == {"jp": "lead"}
    assert [line.split() for line in run("person", "list").out.splitlines()] == [
        ["Name", "Role", "Version"],
        ["jp", "lead", "1"],
    ]


def test_a_person_is_added_as_tech_unless_said_otherwise(run: Run) -> None:
    assert run("person", "add", "S.L.").out == "S.L. is known as tech.\n"
    run("person", "add", "A.B.", "--role", "reader")

    assert people(run) == {"A.B.": "reader", "S.L.": "tech", "jp": "lead"}


def test_a_role_and_a_name_change(run: Run) -> None:
    run("person", "add", "S.L.")

    assert run("person", "change", "S.L.", "--role", "lead", "--name", "S.M.").out == (
        "S.M.: lead.\n"
    )
    assert people(run)["S.M."] == "lead"


def test_what_a_merged_person_wrote_stands_under_the_other(run: Run) -> None:
    run("person", "add", "J.P.")
    run("log", "CC-01", "blinks", "--reporter", "J.P.")

    assert run("person", "merge", "J.P.", "jp").out == "What J.P. wrote stands under jp now.\n"

    assert people(run) == {"jp": "lead"}
    assert run("fault", "see", 2, "--json").json["line"]["reporter"] == "jp"


def test_a_forgotten_person_leaves_a_number(run: Run) -> None:
    run("person", "add", "S.V.")
    run("log", "CC-01", "blinks", "--reporter", "S.V.")

    assert run("person", "forget", "S.V.").out == (
        "S.V. is forgotten; 'person 2' stands in their place.\n"
    )

    assert people(run) == {"jp": "lead"}
    assert run("fault", "see", 2, "--json").json["line"]["reporter"] == "person 2"
    assert "S.V." not in run("history", "fault", 2).out


def test_the_second_writer_is_told_what_the_first_changed(run: Run) -> None:
    run("person", "add", "S.L.")
    run("person", "change", "S.L.", "--role", "lead", "--seen", 1)

    result = run("person", "change", "S.L.", "--role", "reader", "--seen", 1)

    assert result.code == 2
    assert "jp: role 'tech' -> 'lead'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add", "jp"), "There is a person 'jp' already."),
        (("add", ""), "name: it is empty."),
        (("add", "X", "--role", "boss"), "Usage: kitlore person add"),
        (("change", "jp"), "option: say what to change"),
        (("change", "Q.", "--role", "tech"), "No person 'Q.'. Known are: jp."),
        (("change", "jp", "--name", ""), "name: it is empty."),
        (("merge", "jp", "jp"), "jp and jp are one person already."),
        (("merge", "Q.", "jp"), "No person 'Q.'."),
        (("forget", "Q."), "No person 'Q.'."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("person", *words).startswith(told)
