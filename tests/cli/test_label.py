"""`label` and `stock`: printed, read back, refused."""

from pathlib import Path

import pytest
from calls import Refused, Run

STOCK = "a4-3x7-63x38"


@pytest.mark.slow
def test_every_item_gets_its_label_a_cable_one_for_each_end(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"

    result = run("label", "--all", "--out", out, "--verify")

    # Six items, two of them cables.
    assert (result.code, out.read_bytes()[:5]) == (0, b"%PDF-")
    assert f"8 labels in {out}. Print at 100 %." in " ".join(result.out.split())
    assert "They open http://127.0.0.1:8017/CODE." in result.out
    assert "symbols read back." in result.out


def test_one_label_as_a_picture(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "one.png"

    result = run("label", "CC-01", "--out", out, "--dpi", 300)

    assert result.code == 0
    assert out.read_bytes().startswith(b"\x89PNG")
    assert result.out.startswith("1 label in ")


def test_the_address_is_that_of_the_settings(run: Run, tmp_path: Path) -> None:
    told = run("settings", "host=studio.example:80")
    assert told.out.startswith("Labels printed before carry the old host.")

    result = run("label", "CC-01", "--out", tmp_path / "one.pdf")

    assert "They open http://STUDIO.EXAMPLE:80/CODE.\n" in result.out


def test_a_stock_of_the_crew_goes_before_those_shipped(run: Run, studio: Path) -> None:
    shipped = run("stock", "list", "--json").json
    assert STOCK in [one["name"] for one in shipped]
    assert "63.5 x 38.1 mm" in run("stock", "list").out
    own = studio / "labels"
    own.mkdir()
    text = (Path(__file__).parents[2] / "labels" / f"{STOCK}.toml").read_text(encoding="utf-8")
    (own / f"{STOCK}.toml").write_text(text.replace("7.25", "8.25"), encoding="utf-8")

    assert run("stock", "show", STOCK, "--json").json["margin_left"] == 8.25
    assert "margin left   8.25" in run("stock", "show", STOCK).out


def test_stocks_are_listed_where_there_is_no_workspace(call: Run) -> None:
    assert STOCK in call("stock", "list").out


def test_a_folder_that_is_not_there(run: Run, tmp_path: Path) -> None:
    result = run("label", "CC-01", "--out", tmp_path / "nowhere" / "one.pdf")

    assert (result.code, result.out) == (3, "")
    assert "can't be written: No such file or directory." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("label",), "code: name the items, or say --all."),
        (("label", "CC-99"), "No item 'CC-99'."),
        (
            ("label", "CC-01", "--stock", "nope"),
            "No label stock 'nope'. On file are: a4-2x4-99x67, ",
        ),
        (("label", "CC-01", "--dpi", "3"), f"stock {STOCK}, dpi: 3 is out of range"),
        (("label", "CC-01", "--out", "one.txt"), "out: 'one.txt' ends in neither .pdf nor .png."),
        (("stock", "show", "nope"), "No label stock 'nope'."),
        (("stock", "show"), "Usage: kitlore stock show"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused(*words).startswith(told)
