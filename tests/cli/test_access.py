"""Phones and scripts are let in and thrown out in the terminal too."""

import re
from pathlib import Path

import pytest
from calls import Result, called

pytestmark = pytest.mark.slow


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    assert called("init", folder, "--zone", "UTC").code == 0
    assert called("-w", folder, "settings", "host=kb.lan").code == 0
    assert called("-w", folder, "person", "add", "J.P.").code == 0
    return folder


def access(studio: Path, *words: str) -> Result:
    return called("-w", studio, "access", *words)


def test_an_offer_is_a_symbol_and_its_address(studio: Path) -> None:
    shown = access(studio, "pair", "J.P.", "--device", "the red one")

    assert shown.code == 0, shown.err
    assert len([line for line in shown.out.splitlines() if set(line) <= set("█▀▄ ") and line]) > 15
    assert re.search(r"http://kb.lan/pair\?ticket=[\w-]{43}$", shown.out.strip())
    assert "phone of J.P." in shown.out
    assert "15:32:00" in shown.out  # two minutes after 15:30
    assert access(studio, "list", "--json").json == []
    assert access(studio, "pair", "nobody").code == 2


def test_a_script_is_let_in_listed_and_ended(studio: Path) -> None:
    made = access(studio, "script", "J.P.", "--device", "wall clock", "--role", "tech")
    token = re.findall(r"^Authorization: Bearer ([\w-]{43})$", made.out, re.MULTILINE)[0]

    (line,) = access(studio, "list", "--json").json
    assert (line["device"], line["person"], line["role"]) == ("wall clock", "J.P.", "tech")
    assert token not in access(studio, "list").out + str(line)
    assert "wall clock" in access(studio, "list").out

    assert "let in no more" in access(studio, "end", str(line["number"])).out
    assert access(studio, "list", "--json").json == []
    assert access(studio, "end", "1").code == 2


def test_what_strangers_may_do_is_said(studio: Path) -> None:
    assert "nothing" in access(studio, "strangers", "nothing").out
    assert access(studio, "strangers", "everything").code == 2
