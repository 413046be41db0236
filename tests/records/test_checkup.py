import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import pytest
from schemas import PRESENT

from kb.errors import StorageError
from kb.records import checkup, serving
from kb.records.workspace import Workspace


class _Room(NamedTuple):
    free: int


def _flip(place: Workspace) -> None:
    """Turn one bit in the header of a page in the middle: the kind of page it is."""
    raw = bytearray(place.database.read_bytes())
    raw[20 * 4096] ^= 0b100
    place.database.write_bytes(raw)


def _run(statement: str) -> Callable[[Workspace], None]:
    def change(place: Workspace) -> None:
        with closing(sqlite3.connect(place.database)) as connection, connection:
            connection.execute(statement)

    return change


def test_nothing_is_wrong_with_a_sound_workspace(studio: Workspace) -> None:
    assert checkup.check(studio.folder) == ()


def test_one_that_is_served_is_checked_all_the_same(studio: Workspace, at: datetime) -> None:
    with serving.announced(studio, "0001", 8017, at):
        assert checkup.check(studio.folder) == ()


@pytest.mark.parametrize(
    ("harm", "sentence"),
    [
        (lambda place: place.database.write_bytes(b"\x01" * 9999), "file is not a database"),
        (lambda place: place.database.write_bytes(b""), "holds no base of Kitlore"),
        (
            lambda place: place.database.write_bytes(place.database.read_bytes()[:-5000]),
            "is damaged",
        ),
        (_flip, "is damaged"),
        (lambda place: place.database.unlink(), "kitlore.db is missing"),
        (_run("UPDATE attempt SET fault_id = 77"), "name a 'fault' that doesn't exist"),
        (_run("DROP TABLE alembic_version"), "holds no base of Kitlore"),
        (_run("DELETE FROM base"), "base has no mark"),
        (lambda place: (place.folder / "kitlore.toml").write_text("zone = ["), "it is no TOML"),
        (lambda place: (place.folder / "kitlore.toml").write_text("colour = 1"), "no such field"),
        (lambda place: shutil.rmtree(place.uploads), "uploads is missing, and the pictures"),
    ],
)
def test_damage_is_found(
    studio: Workspace, harm: Callable[[Workspace], None], sentence: str
) -> None:
    harm(studio)
    (finding,) = checkup.check(studio.folder)
    assert sentence in finding.sentence
    assert finding.damage


def test_every_damage_is_told_in_one_go(studio: Workspace) -> None:
    (studio.folder / "kitlore.toml").write_text("zone = 7\ncolour = 1\n")
    shutil.rmtree(studio.uploads)
    studio.database.unlink()
    assert len([one for one in checkup.check(studio.folder) if one.damage]) == 4


@pytest.mark.usefixtures("newer_program")
def test_an_older_base_is_no_damage(studio: Workspace) -> None:
    (finding,) = checkup.check(studio.folder)
    assert f"older schema {PRESENT}; the next command brings it up to date" in finding.sentence
    assert not finding.damage


def test_a_newer_base_is_no_damage(studio: Workspace) -> None:
    _run("UPDATE alembic_version SET version_num = '9999'")(studio)
    (finding,) = checkup.check(studio.folder)
    assert "written by a newer kitlore (schema 9999" in finding.sentence
    assert not finding.damage


def test_little_room_is_told_before_it_is_none(
    studio: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: _Room(150_000_000))
    (finding,) = checkup.check(studio.folder)
    assert finding.sentence.startswith("Only 150.0 MB are free on the disk")
    assert not finding.damage


def test_a_check_changes_nothing(
    studio: Workspace, files: Callable[[Path], dict[str, bytes]]
) -> None:
    before = files(studio.folder)
    checkup.check(studio.folder)
    assert files(studio.folder) == before


@pytest.mark.slow
def test_a_base_on_a_server_is_checked(server_studio: Workspace) -> None:
    assert checkup.check(server_studio.folder) == ()


def test_a_server_that_does_not_answer_is_told(studio: Workspace) -> None:
    url = f"postgresql+psycopg://crew:hush@/none?host={studio.folder}"
    settings = studio.folder / "kitlore.toml"
    settings.write_text(f'zone = "UTC"\ndatabase = "{url}"\n')
    with pytest.raises(StorageError, match="doesn't answer") as caught:
        checkup.check(studio.folder)
    assert "hush" not in caught.value.message
