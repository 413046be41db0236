"""`place`: the tree listed, places added, changed, retired, merged."""

import pytest
from calls import Refused, Run

from kb.cli import place_text
from kb.gear import codes
from kb.gear.views import PlaceLine


def test_places_are_listed_as_a_tree(run: Run) -> None:
    lines = run("place", "list").out.splitlines()

    assert lines[0].split() == ["Place", "Kind", "Code", "Items", "Version"]
    assert [line[:16].rstrip() for line in lines[1:]] == [
        "House",
        "  Control room",
        "  drawer C1",
        "  rack R1",
        "    recorder 1",
    ]


def test_json_gives_paths_and_codes(run: Run) -> None:
    lines = run("place", "list", "--json").json

    assert [line["path"] for line in lines][-1] == "House/rack R1/recorder 1"
    assert all(codes.read(line["code"]) == line["code"] for line in lines)
    assert next(line["items"] for line in lines if line["name"] == "drawer C1") == 3


def test_a_name_with_a_slash_in_it_keeps_its_depth() -> None:
    lines = [
        PlaceLine(path, name, 1, "area", "000000", 0, "")
        for path, name in (("A", "A"), ("A/B/C", "B/C"), ("A/B/C/D", "D"), ("AB", "AB"))
    ]

    assert [depth for depth, _line in place_text.depths(lines)] == [0, 1, 2, 0]


def test_a_place_is_added_moved_in_the_tree_and_retired(run: Run) -> None:
    code = run("place", "add", "C2", "--kind", "drawer", "--within", "House", "--json").json[
        "code"
    ]

    assert run("place", "change", code, "--within", "", "--name", "C9").out == "C9 is changed.\n"
    assert "C9" in [line["path"] for line in run("place", "list", "--json").json]
    assert run("place", "retire", "C9").out == "C9 is out of use.\n"
    assert "C9" not in run("place", "list").out


def test_adding_tells_the_code(run: Run) -> None:
    out = run("place", "add", "C2").out

    line = next(x for x in run("place", "list", "--json").json if x["name"] == "C2")
    assert out == f"C2 has the code {codes.shown(line['code'])}.\n"


def test_what_lies_in_a_merged_place_lies_in_the_other(run: Run) -> None:
    assert run("place", "merge", "drawer C1", "rack R1").out == (
        "drawer C1 is one with rack R1 now.\n"
    )

    assert run("item", "see", "HD-04", "--json").json["line"]["place"] == "House/rack R1"


def test_the_second_writer_is_told_what_the_first_changed(run: Run) -> None:
    run("place", "change", "drawer C1", "--kind", "bin", "--seen", 1)

    result = run("place", "change", "drawer C1", "--kind", "case", "--seen", 1)

    assert result.code == 2
    assert "jp: kind 'drawer' -> 'bin'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add", "drawer C1", "--within", "House"), "There is a place 'drawer C1' there already."),
        (("add", ""), "name: it is empty."),
        (("add", "X", "--within", "attic"), "No place 'attic'."),
        (("add", "X", "--kind", "box"), "Usage: kitlore place add"),
        (("change", "House"), "option: say what to change"),
        (("change", "House", "--within", "rack R1"), "House can't lie in itself"),
        (("change", "attic", "--name", "x"), "No place 'attic'."),
        (("retire", "drawer C1"), "HD-04, HD-05, DR-01 still lie in drawer C1."),
        (("merge", "House", "rack R1"), "rack R1 lies in House."),
        (("merge", "House", "House"), "House and House are one place already."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("place", *words).startswith(told)
