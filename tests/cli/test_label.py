"""`label` and `stock`: printed, read back, refused."""

import io
from pathlib import Path

import pdfplumber
import pytest
from calls import Refused, Run

from kb.cli import label

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
    assert " ".join(result.out.split()).startswith("1 label in ")


def test_the_address_is_that_of_the_settings(run: Run, tmp_path: Path) -> None:
    told = run("settings", "host=studio.example:80")
    assert told.out.startswith("Labels printed before carry the old host, 127.0.0.1:8017.")

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


def test_labels_say_what_was_chosen_and_begin_where_it_was_said(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "one.pdf"
    chosen = ("--place", "--return-to", "5 Mill Lane", "--inspected", "--boxed", "--start", 4)

    result = run("label", "CC-01", "HD-04", "--out", out, *chosen)

    assert result.out.startswith("3 labels in")
    assert "Symbols of " in result.out
    with pdfplumber.open(out) as document:
        page = document.pages[0]
        words = page.extract_text().splitlines()
        top = min(word["top"] for word in page.extract_words()) / 72 * 25.4
    assert "Control room, House" in " ".join(words)
    assert "Return to: 5 Mill Lane" in " ".join(words)
    assert top > 15.15 + 38.1  # the second row


def test_places_get_labels_too(run: Run, tmp_path: Path) -> None:
    assert run("label", "--places", "--out", tmp_path / "a.pdf").out.startswith("5 labels in")
    result = run("label", "drawer C1", "CC-01", "--out", tmp_path / "a.pdf")
    assert result.out.startswith("2 labels in")


def test_codes_are_reserved_printed_again_and_given_to_things(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "ahead.pdf"
    assert run("label", "--new", 3, "--out", out).out.startswith("3 labels in")
    with pdfplumber.open(out) as document:
        words = document.pages[0].extract_text().split()
    codes = [first + last for first, last in zip(words[::2], words[1::2], strict=True)]
    assert len(set(codes)) == 3

    added = run("item", "add", "CC-09", "--code", codes[0])
    assert added.out == f"CC-09 has the code {codes[0][:3]} {codes[0][3:]}.\n"
    assert run("place", "add", "case 3", "--kind", "case", "--code", codes[1]).code == 0
    assert run("label", "--unused", "--out", out).out.startswith("1 label in")
    told = run("item", "relabel", "CC-01", codes[2])
    assert "Its old label leads to it." in told.out
    assert run("item", "see", codes[2], "--json").json["line"]["name"] == "CC-01"
    again = run("label", "--new", 1, "--out", out)
    assert again.code == 0
    with pdfplumber.open(out) as document:
        new = "".join(document.pages[0].extract_text().split())
    told = run("place", "relabel", "case 3", new)
    assert told.out == f"case 3 has the code {new[:3]} {new[3:]}. Its old label leads to it.\n"
    listed = run("place", "list", "--json").json
    assert [one["name"] for one in listed if one["code"] == new] == ["case 3"]
    assert run("label", codes[1], "--out", out).code == 0
    with pdfplumber.open(out) as document:
        assert new in "".join(document.pages[0].extract_text().split())
    assert "No unused code in 'this workspace'" in run("label", "--unused").err


@pytest.mark.parametrize("wrong", [("--start", 99), ("--stock", "roll-wrap-25x38")])
def test_what_can_not_be_printed_reserves_nothing(wrong: tuple[object, ...], run: Run) -> None:
    assert run("label", "--new", 5, *wrong).code == 2
    assert "No unused code" in run("label", "--unused").err


class Terminal(io.StringIO):
    """A stream that says it's a terminal."""

    def isatty(self) -> bool:
        return True


def test_many_labels_show_how_far_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    for stream, count, shown in ((Terminal(), 5000, True), (Terminal(), 5, False)):
        monkeypatch.setattr("sys.stderr", stream)
        with label._progress(count, "Laid out") as told:
            told(21)
        assert ("Laid out" in stream.getvalue()) is shown
    monkeypatch.setattr("sys.stderr", plain := io.StringIO())
    with label._progress(5000, "Laid out") as told:
        told(21)
    assert plain.getvalue() == ""


def test_wraps_carry_text_alone_and_say_why(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "wrap.pdf"
    wrap = ("label", "HD-04", "--stock", "roll-wrap-25x38", "--out", out)
    asked = run(*wrap)
    assert asked.code == 2
    assert asked.err.startswith("diameter: how thick is HD-04?")
    made = run(*wrap, "--diameter", 6.1)
    assert made.out.startswith("HD-04: text alone. The smallest symbol is ")


def test_offsets_are_kept_for_each_printer(run: Run, tmp_path: Path) -> None:
    assert run("stock", "offset").out == "No offset is kept.\n"
    run("stock", "offset", "office", "--right", 0.8, "--down=-1.2")
    run("stock", "offset", "roll", "--down", 0.5)
    told = run("stock", "offset", "--json").json
    assert told == {
        "office": {"right": 0.8, "down": -1.2},
        "roll": {"right": 0.0, "down": 0.5},
    }
    plain = run("label", "CC-01", "--out", tmp_path / "a.pdf")
    assert "say --printer" in plain.out
    moved = run("label", "CC-01", "--out", tmp_path / "b.pdf", "--printer", "office")
    assert "say --printer" not in moved.out
    tops = []
    for name in ("a.pdf", "b.pdf"):
        with pdfplumber.open(tmp_path / name) as document:
            tops.append(document.pages[0].extract_words()[0]["top"] / 72 * 25.4)
    assert tops[1] - tops[0] == pytest.approx(-1.2, abs=0.01)
    run("stock", "offset", "roll", "--forget")
    assert list(run("stock", "offset", "--json").json) == ["office"]


def test_a_page_to_measure_is_printed(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "measure.pdf"
    told = run("stock", "calibrate", "--out", out)
    assert "must be 50 mm long" in " ".join(told.out.split())
    assert out.read_bytes().startswith(b"%PDF-")


def test_a_new_host_lists_the_safe_choices_and_what_is_doubtful(run: Run) -> None:
    told = run("settings", "host=studio.local").out
    assert told.startswith("Labels printed before carry the old host, 127.0.0.1:8017. Safe")
    assert "kitlore label --all" in told
    assert "Some phones don't find names that end in .local" in " ".join(told.split())
    assert "Labels" not in run("settings", "minute_cost=5").out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("label",), "code: name what to label, or say --all."),
        (("label", "CC-99"), "No item 'CC-99'."),
        (
            ("label", "CC-01", "--stock", "nope"),
            "No label stock 'nope'. On file are: a4-2x4-99x67, ",
        ),
        (("label", "CC-01", "--dpi", "3"), f"stock {STOCK}, dpi: 3 is out of range"),
        (("label", "CC-01", "--out", "one.txt"), "out: 'one.txt' ends in neither .pdf nor .png."),
        (("label", "--all", "--places"), "label: --all and --places are two choices."),
        (("label", "CC-01", "--all"), "label: --all and CODE are two choices."),
        (("label", "--new", "0"), "new: give a number from 1 to 5000."),
        (("label", "CC-01", "--start", "22"), "start: there is no label 22"),
        (("label", "CC-01", "--printer", "x"), "No printer 'x'. Known are: none."),
        (("label", "K7M4XV"), "No item or place 'K7M4XV'. It was never drawn here."),
        (("label", "K7M4XW"), "code: 'K7M 4XW' is no code"),
        (("label", "CC-01", "--stock", "roll-wrap-25x38"), "stock: roll-wrap-25x38 goes round"),
        (("settings", "host=the studio"), "host: 'the studio' can't stand on a label."),
        (("item", "add", "CC-09", "--code", "K7M4XW"), "code: 'K7M 4XW' is no code"),
        (("item", "relabel", "CC-01", "K7M4"), "code: a code has 6 characters"),
        (("stock", "calibrate", "--out", "a.png"), "out: 'a.png' doesn't end in .pdf."),
        (("stock", "offset", "x", "--right", "99"), "offset: 99 mm is no offset of a printer"),
        (("stock", "offset", "a:b", "--right", "1"), "offset: 'a:b' is no name for a printer."),
        (("stock", "show", "nope"), "No label stock 'nope'."),
        (("stock", "show"), "Usage: kitlore stock show"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused(*words).startswith(told)
