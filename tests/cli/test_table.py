"""`table`: lists to a spreadsheet and back, all of it or nothing."""

from pathlib import Path

import pytest
from calls import Refused, Run


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """Return a file of two laptops, as a spreadsheet program writes it."""
    path = tmp_path / "new.csv"
    lines = ("Name;Model;Place;Price", 'CC-03;Tern 14;"Control room";980', "CC-04;Tern 14;;12.50")
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(lines).encode())
    return path


def names(run: Run) -> list[str]:
    """Return the names of the items in use."""
    return [line["name"] for line in run("item", "list", "--json").json]


def test_items_come_in(run: Run, sheet: Path) -> None:
    assert run("table", "in", "items", sheet).out == "2 items added.\n"

    page = run("item", "see", "CC-04", "--json").json
    assert (page["line"]["model"], page["price_minor"]) == ("Halvetta Tern 14", 1250)
    assert run("item", "see", "CC-03", "--json").json["line"]["place"] == "House/Control room"


def test_trying_keeps_nothing(run: Run, sheet: Path) -> None:
    before = names(run)

    told = run("table", "in", "items", sheet, "--try")

    assert told.out == "Nothing is wrong with 2 rows. Nothing was kept.\n"
    assert names(run) == before
    assert run("table", "in", "items", sheet, "--try", "--json").json == {"rows": 2, "kept": False}
    assert run("table", "in", "items", sheet, "--json").json == {"rows": 2, "kept": True}


@pytest.mark.parametrize("trying", [(), ("--try",)])
def test_all_that_is_wrong_is_told_and_nothing_kept(
    trying: tuple[str, ...], run: Run, sheet: Path
) -> None:
    before = names(run)
    with sheet.open("a", encoding="utf-8") as file:
        file.write("\nCC-01;Tern 14;;dear\nCC-02;Tern 99;attic;")

    result = run("table", "in", "items", sheet, *trying)

    assert (result.code, result.out) == (2, "")
    assert [line.partition(". ")[0] for line in result.err.splitlines()] == [
        "line 4, price: 'dear' is no amount",
        "line 5, model: No model 'Tern 99'",
        "line 5, place: No place 'attic'",
    ]
    assert names(run) == before


@pytest.mark.parametrize("kind", ["items", "models", "places"])
def test_what_went_out_is_refused_where_it_is_already(kind: str, run: Run, tmp_path: Path) -> None:
    file = tmp_path / "out.csv"
    assert run("table", "out", kind, file).code == 0

    result = run("table", "in", kind, file)

    assert result.code == 2
    assert result.err.startswith("line 2: There is a")


def test_what_went_out_comes_into_a_new_workspace(run: Run, tmp_path: Path) -> None:
    new = tmp_path / "new"
    run("init", new, "--zone", "UTC")

    for kind in ("places", "models", "items"):
        run("table", "out", kind, tmp_path / f"{kind}.csv")
        assert run("table", "in", kind, tmp_path / f"{kind}.csv", "-w", new).code == 0
        run("table", "out", kind, tmp_path / f"{kind}2.csv", "-w", new)
        texts = [(tmp_path / f"{kind}{n}.csv").read_bytes() for n in ("", "2")]
        assert texts[0] == texts[1]

    assert [one["name"] for one in run("item", "list", "-w", new, "--json").json] == names(run)


def test_a_file_is_never_written_over(run: Run, sheet: Path) -> None:
    before = sheet.read_bytes()

    result = run("table", "out", "items", sheet)

    assert (result.code, result.out) == (3, "")
    assert "is there already. Nothing was changed." in result.err
    assert sheet.read_bytes() == before


def test_a_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    result = run("table", "in", "items", tmp_path / "missing.csv")

    assert (result.code, result.out) == (3, "")
    assert "can't be read: No such file or directory." in result.err


def test_what_is_wrong_is_told(refused: Refused, tmp_path: Path) -> None:
    file = tmp_path / "bad.csv"
    file.write_bytes(b"name,colour\n")

    assert refused("table", "out", "people", "x.csv") == (
        "No table 'people'. Known are: items, models, places.\n"
    )
    assert refused("table", "in", "items", file).startswith("line 1: there is no column 'colour'.")
    assert refused("table", "in").startswith("Usage: kitlore table in")
