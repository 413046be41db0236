"""`entries`: listed, read, written to files and back, withdrawn, revised; what is wanted."""

from pathlib import Path

import pytest
from calls import Refused, Run

from kb.entries import folders
from kb.entries import words as entry_words

HUM = "audio-hum"


@pytest.fixture
def folder(run: Run, tmp_path: Path) -> Path:
    """Return a folder to which every entry was written."""
    out = tmp_path / "ours"
    told = run("entries", "export", out).out
    assert " ".join(told.split()).endswith(f"entries written to {out}.")
    return out


def edited(path: Path, old: str, new: str) -> Path:
    """Return the file after the only place of the old text became the new one."""
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def slugs(run: Run, *narrowed: str) -> list[str]:
    """Return the slugs that a call lists."""
    return [one["slug"] for one in run("entries", "list", *narrowed, "--json").json]


def test_every_shipped_entry_is_listed(run: Run, starter: Path) -> None:
    assert set(slugs(run)) == folders.slugs(starter)
    assert run("entries", "list").out.splitlines()[0].split() == ["Slug", "Title", "Rev", "Status"]


@pytest.mark.parametrize("area", ["Audio", "audio"])
def test_a_list_is_narrowed_to_an_area_in_any_case(area: str, run: Run) -> None:
    found = run("entries", "list", "--area", area, "--json").json

    assert found
    assert {one["area"] for one in found} == {"Audio"}


def test_an_unknown_area_names_those_there_are(refused: Refused) -> None:
    told = refused("entries", "list", "--area", "Kitchen")

    assert all(area.casefold() in told.casefold() for area in entry_words.AREAS)


def test_an_entry_is_read_as_text_as_markdown_and_as_json(run: Run, starter: Path) -> None:
    assert run("entries", "see", HUM).out.lower().startswith("steady low hum or buzz in the sound")
    markdown = run("entries", "see", HUM, "--markdown").out
    assert markdown == (starter / f"{HUM}.md").read_text(encoding="utf-8")
    page = run("entries", "see", HUM, "--json").json
    assert (page["line"]["slug"], page["text"]) == (HUM, markdown)


def test_what_was_written_out_comes_back_the_same(run: Run, folder: Path) -> None:
    result = run("entries", "import", folder)

    assert (result.code, result.out) == (0, f"same: {len(slugs(run))}\n")


def test_an_edited_file_becomes_a_revision(run: Run, folder: Path) -> None:
    edited(folder / f"{HUM}.md", "title: Steady low hum", "title: A steady low hum")

    taken = run("entries", "import", folder, "--json")

    assert (taken.code, taken.json["changed"]) == (0, [HUM])
    rows = run("entries", "revisions", HUM, "--json").json
    assert [(one["number"], one["note"]) for one in rows] == [(1, "starter base"), (2, "imported")]
    assert " 2  2026-11-19 15:30  jp  imported" in run("entries", "revisions", HUM).out
    changed = run("entries", "revisions", HUM, "--diff", 2).out.splitlines()
    assert [line for line in changed if line.startswith(("-t", "+t"))] == [
        "-title: Steady low hum or buzz in the sound",
        "+title: A steady low hum or buzz in the sound",
    ]


def test_what_changed_on_both_sides_is_shown_and_stays(run: Run, folder: Path) -> None:
    theirs = edited(folder / f"{HUM}.md", "title: Steady low hum", "title: Their hum")
    ours = Path(edited(Path(str(theirs)), "title: Their hum", "title: Our hum"))
    run("entries", "save", ours)
    edited(theirs, "title: Our hum", "title: Their hum")

    result = run("entries", "import", folder)

    assert result.code == 1
    assert f"conflicts: 1: {HUM}\n" in result.out
    assert "-title: Our hum" in result.out
    assert "+title: Their hum" in result.out
    assert run("entries", "see", HUM).out.lower().startswith("our hum")


def test_one_broken_entry_and_none_comes_in(run: Run, folder: Path) -> None:
    edited(folder / f"{HUM}.md", "title: Steady low hum", "title: A steady low hum")
    broken = folder / "audio-phase.md"
    broken.write_text("no front matter", encoding="utf-8")

    result = run("entries", "import", folder)

    assert (result.code, result.out) == (2, "")
    assert result.err.startswith(f"{broken}:1: the first line isn't '---'.")
    assert len(run("entries", "revisions", HUM, "--json").json) == 1


def test_lint_tells_file_line_and_mend(run: Run, folder: Path) -> None:
    edited(folder / f"{HUM}.md", "area: Audio", "area: Kitchen")

    result = run("entries", "lint", folder)

    assert result.code == 1
    assert f"{folder / HUM}.md:4: " in result.out


def test_lint_of_what_is_sound(run: Run, starter: Path, tmp_path: Path) -> None:
    one = tmp_path / "one"
    one.mkdir()
    text = (starter / f"{HUM}.md").read_text(encoding="utf-8").splitlines(keepends=True)
    # Only what the few entries here can name.
    kept = [line for line in text if not line.startswith("confused with:")]
    (one / f"{HUM}.md").write_text("".join(kept), encoding="utf-8")

    assert (run("entries", "lint", one).code, run("entries", "lint", one).out) == (
        0,
        "Nothing to mend.\n",
    )


def test_a_saved_file_is_the_newest_revision(run: Run, folder: Path) -> None:
    file = edited(folder / f"{HUM}.md", "title: Steady low hum", "title: A low hum")

    saved = run("entries", "save", file, "--note", "shorter")

    assert saved.out.startswith(f"{HUM} is saved as revision 2")
    assert run("entries", "revisions", HUM, "--json").json[-1]["note"] == "shorter"


def test_a_withdrawn_entry_is_found_no_more_and_no_starter_brings_it_back(run: Run) -> None:
    assert run("entries", "withdraw", HUM).out == f"{HUM} is withdrawn.\n"
    again = run("entries", "starter", "--json").json

    assert again["withdrawn"] == [HUM]
    assert slugs(run, "--status", "withdrawn") == [HUM]
    found = run("find", "low hum", "--json").json["results"]
    assert HUM not in [one["id"] for one in found]

    assert run("entries", "accept", HUM).out == f"{HUM} is accepted.\n"
    assert HUM in [one["id"] for one in run("find", "low hum", "--json").json["results"]]


def test_the_second_writer_is_told_what_the_first_changed(run: Run, folder: Path) -> None:
    version = run("entries", "see", HUM, "--json").json["line"]["version"]
    run("entries", "withdraw", HUM, "--seen", version)

    for words in (("accept", HUM), ("save", folder / f"{HUM}.md")):
        result = run("entries", *words, "--seen", version)
        assert result.code == 2
        assert "jp: status 'accepted' -> 'withdrawn'." in result.err


def test_what_was_searched_and_not_found_is_wanted_until_it_is_answered(run: Run) -> None:
    assert run("entries", "wanted").out == "Every search found something.\n"
    for query in ("qqqq", "qqqq", "zzzz"):
        run("find", query)

    rows = [line.split() for line in run("entries", "wanted").out.splitlines()]
    assert rows == [
        ["Times", "Last", "Searched"],
        ["2", "2026-11-19", "15:30", "qqqq"],
        ["1", "2026-11-19", "15:30", "zzzz"],
    ]
    assert run("entries", "answer", "qqqq", HUM).out == (
        f"'qqqq', asked 2 times, is answered by {HUM}.\n"
    )
    assert [one["query"] for one in run("entries", "wanted", "--json").json] == ["zzzz"]
    assert "asked 1 time," in run("entries", "answer", "zzzz", HUM).out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("list", "--status", "nope"), "Usage: kitlore entries list"),
        (("see", "nope"), "No entry 'nope'."),
        (("import", "nowhere"), "No entry in 'nowhere'."),
        (("lint", "nowhere"), "No entry in 'nowhere'."),
        (("withdraw", "nope"), "No entry 'nope'."),
        (("accept", HUM), f"'{HUM}' is accepted already."),
        (("revisions", "nope"), "No entry 'nope'."),
        (("revisions", HUM, "--diff", "9"), "No revision '9'."),
        (("answer", "what", HUM), "No unanswered search 'what'."),
        (("answer", "what", "nope"), "No entry 'nope'."),
        (("save",), "Usage: kitlore entries save"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("entries", *words).startswith(told)


def test_a_file_that_is_not_there_or_no_entry(run: Run, tmp_path: Path) -> None:
    missing, other = tmp_path / "missing.md", tmp_path / "other.md"
    other.write_text("hum", encoding="utf-8")

    assert run("entries", "save", missing).code == 3
    result = run("entries", "save", other)
    assert result.code == 2
    assert "the first line isn't '---'" in result.err
