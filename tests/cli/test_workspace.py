"""`init`, `settings`, `backup`, `restore`, `check`: the folder that a crew works in."""

from pathlib import Path

import pytest
from calls import Refused, Run

from kb.cli import workspace as words_of_workspace


def test_a_new_workspace_has_the_starter_base_and_a_lead(call: Run, tmp_path: Path) -> None:
    made = call("init", "studio", "--zone", "Europe/London", "--log-began", "2026-01-01")

    assert made.code == 0
    assert made.out.startswith("studio is ready: zone Europe/London, log from 2026-01-01, ")
    assert call("person", "list", "-w", "studio", "--json").json == [
        {"name": "jp", "role": "lead", "version": 1}
    ]
    assert call("find", "everything looks pink", "-w", "studio").code == 0
    assert not (tmp_path / "kitlore.log").exists()


def test_what_is_not_said_is_taken_from_the_machine_and_the_day(
    call: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(words_of_workspace, "_machine_zone", lambda: "Asia/Tokyo")

    call("init", "studio", "--by", "S.L.")

    settings = call("settings", "-w", "studio", "--json").json
    assert (settings["zone"], settings["log_began"]) == ("Asia/Tokyo", "2026-11-19")
    assert "S.L." in call("person", "list", "-w", "studio").out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--zone", "Mars/Base"), "zone: 'Mars/Base' is no time zone of the IANA list."),
        (("--log-began", "soon"), "log began: 'soon' is no day."),
    ],
)
def test_a_wrong_answer_leaves_no_folder(
    words: tuple[str, ...], told: str, call: Run, tmp_path: Path
) -> None:
    result = call("init", "studio", *words)

    assert (result.code, result.out) == (2, "")
    assert result.err.startswith(told)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_use_is_left_as_it_is(run: Run, studio: Path, tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").touch()

    for folder, told in ((studio, "is a workspace already"), (tmp_path / "full", "isn't empty")):
        result = run("init", folder)
        assert (result.code, result.out) == (3, "")
        assert told in result.err


def test_settings_are_shown_and_changed(run: Run) -> None:
    shown = run("settings").out.splitlines()
    assert shown[:2] == ["zone         Europe/London", "log_began    2026-01-01"]

    changed = run("settings", "minute_cost=1200", "hold_days = 10").out.splitlines()

    assert {"minute_cost  1200", "hold_days    10"} <= set(changed)
    assert run("settings", "--json").json["minute_cost"] == 1200


@pytest.mark.parametrize(
    ("pair", "told"),
    [
        ("colour=red", "colour: no such field. Known are: zone, log began, host,"),
        ("zone=Mars/Base", "zone: 'Mars/Base' is no time zone"),
        ("hold_days=0", "hold days: '0' does not fit"),
        ("currency=euro", "currency: 'euro' does not fit"),
        ("zone", "zone: write it as NAME=VALUE."),
        ("database=sqlite:///x", "database: it's chosen once, by 'kitlore init'."),
    ],
)
def test_a_wrong_setting_changes_nothing(
    pair: str, told: str, refused: Refused, made: Path
) -> None:
    before = (made / "kitlore.toml").read_bytes()

    assert refused("settings", "minute_cost=1", pair).startswith(told)

    assert (made / "kitlore.toml").read_bytes() == before


def test_a_backup_comes_back_whole(run: Run, tmp_path: Path) -> None:
    copy = tmp_path / "copy.zip"
    assert run("backup", "--to", copy).code == 0
    run("item", "add", "CC-03")

    into = run("restore", copy, "--into", tmp_path / "again")

    assert into.code == 0
    names = [one["name"] for one in run("item", "list", "-w", tmp_path / "again", "--json").json]
    assert names == ["CC-01", "CC-02", "DR-01", "HD-04", "HD-05", "MM-01"]


def test_a_backup_over_the_workspace_keeps_what_stood_there(run: Run, studio: Path) -> None:
    said = run("backup").out
    (copy,) = (studio / "backups").glob("*.zip")
    assert "Copied and verified:" in said
    run("item", "add", "CC-03")

    result = run("restore", copy)

    assert result.code == 0
    assert "What stood there before is kept in" in result.out
    assert "CC-03" not in run("item", "list").out
    assert len(list((studio / "backups").glob("*.zip"))) == 2


def test_over_a_damaged_base_it_says_that_phones_are_to_be_paired_again(
    run: Run, studio: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.zip"
    run("backup", "--to", copy)
    assert "Pair the phones again" not in run("restore", copy).out
    (studio / "kitlore.db").write_bytes(b"nothing" * 2000)

    assert "Pair the phones again" in run("restore", copy).out


def test_what_can_not_be_copied_or_brought_back(run: Run, tmp_path: Path) -> None:
    there = tmp_path / "there.zip"
    there.write_bytes(b"no zip")

    assert run("backup", "--to", there).code == 3
    assert run("restore", there, "--into", tmp_path / "again").code == 3
    assert run("restore", tmp_path / "missing.zip").code == 2
    assert not (tmp_path / "again").exists()


def test_a_sound_workspace_is_told_so(run: Run) -> None:
    assert run("check").code == 0
    assert run("check").out.endswith("Nothing is damaged.\n")


def test_a_damaged_base_is_the_answer_no(run: Run, studio: Path) -> None:
    base = bytearray((studio / "kitlore.db").read_bytes())
    base[8192:16384] = b"\xff" * 8192
    (studio / "kitlore.db").write_bytes(base)

    result = run("check")

    assert result.code == 1
    assert result.out.endswith("Something is damaged.\n")
    assert any(one["damage"] for one in run("check", "--json").json)


def test_damaged_settings_are_found_by_check_and_mended_by_restore(run: Run, studio: Path) -> None:
    run("backup")
    (copy,) = (studio / "backups").glob("*.zip")
    (studio / "kitlore.toml").write_text("zone = 5 5\n", encoding="utf-8")
    assert run("item", "list").code == 2

    checked = run("check")

    assert checked.code == 1
    assert "kitlore.toml" in checked.out
    assert run("restore", copy).code == 0
    assert run("item", "list").code == 0


def test_a_folder_that_is_no_workspace(call: Run, tmp_path: Path) -> None:
    for words in (("check",), ("item", "list"), ("backup",)):
        result = call(*words, "-w", tmp_path)
        assert (result.code, result.out) == (2, "")
        assert result.err.startswith("No workspace '/")
