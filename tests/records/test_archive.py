import hashlib
import json
import shutil
import struct
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple
from zipfile import ZipFile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.errors import InvalidError, KitloreError, NotFoundError, StorageError
from kb.records import archive
from kb.records.archive import About, Manifest

Manifested = dict[str, Any]


class _Room(NamedTuple):
    free: int


_CONTENTS = {
    archive.DATABASE: b"SQLite format 3\x00" + bytes(range(256)) * 30,
    archive.SETTINGS: b'zone = "Europe/London"\n',
    "uploads/cable.jpg": bytes(range(255, 0, -1)) * 20,
    "uploads/2026/Stecker größer.png": b"",
}


@pytest.fixture
def about(at: datetime) -> About:
    return About(program="0.1.0", schema_revision="0001", base="a1", made=at)


@pytest.fixture
def packed(tmp_path: Path, about: About) -> Path:
    folder = tmp_path / "from"
    for name, content in _CONTENTS.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    archive.pack(tmp_path / "copy.zip", about, {name: folder / name for name in _CONTENTS})
    return tmp_path / "copy.zip"


def _unpacked(path: Path, into: Path) -> dict[str, bytes]:
    archive.unpack(path, into)
    return {name: (into / name).read_bytes() for name in _CONTENTS}


def _rewritten(path: Path, change: Callable[[dict[str, bytes]], object]) -> Path:
    """Write the zip anew by a plain zip writer, after a change of its files."""
    with ZipFile(path) as old:
        files = {name: old.read(name) for name in old.namelist()}
    change(files)
    with ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name, content in files.items():
            new.writestr(name, content)
    return path


def _manifest(files: dict[str, bytes], change: Callable[[Manifested], object]) -> None:
    manifest = json.loads(files[archive.MANIFEST])
    change(manifest)
    files[archive.MANIFEST] = json.dumps(manifest).encode()


def test_what_is_packed_comes_out_again(packed: Path, tmp_path: Path, about: About) -> None:
    assert _unpacked(packed, tmp_path / "to") == _CONTENTS
    assert archive.unpack(packed, tmp_path / "again").about == about


def test_any_unzip_program_can_read_it(packed: Path, tmp_path: Path) -> None:
    shutil.unpack_archive(packed, tmp_path / "to")
    assert {name: (tmp_path / "to" / name).read_bytes() for name in _CONTENTS} == _CONTENTS
    assert (tmp_path / "to" / archive.MANIFEST).is_file()


def test_a_file_in_the_way_is_not_written_over(packed: Path, about: About) -> None:
    before = packed.read_bytes()
    with pytest.raises(StorageError, match=r"copy.zip can't be written: File exists"):
        archive.pack(packed, about, {})
    assert packed.read_bytes() == before


def test_a_name_not_every_system_can_keep_is_named(tmp_path: Path, about: About) -> None:
    (tmp_path / "a:b.jpg").write_bytes(b"")
    with pytest.raises(
        StorageError, match=r"uploads/a:b.jpg' has a name that not every system can keep"
    ):
        archive.pack(tmp_path / "x.zip", about, {"uploads/a:b.jpg": tmp_path / "a:b.jpg"})


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match=r"No backup 'gone.zip'. .* has no such file"):
        archive.unpack(tmp_path / "gone.zip", tmp_path / "to")


@pytest.mark.parametrize("part", [0, 0.1, 0.5, 0.9, 0.999])
def test_a_truncated_file_is_told_as_damaged(packed: Path, tmp_path: Path, part: float) -> None:
    whole = packed.read_bytes()
    packed.write_bytes(whole[: int(len(whole) * part)])
    with pytest.raises(StorageError, match="is damaged or no backup"):
        archive.unpack(packed, tmp_path / "to")


@pytest.mark.slow
@settings(
    max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(where=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 7))
def test_no_flipped_bit_gets_through(packed: Path, tmp_path: Path, where: float, bit: int) -> None:
    whole = packed.read_bytes()
    broken = bytearray(whole)
    broken[int(where * len(whole))] ^= 1 << bit
    flipped = tmp_path / "flipped.zip"
    flipped.write_bytes(broken)
    shutil.rmtree(tmp_path / "to", ignore_errors=True)
    try:
        found = _unpacked(flipped, tmp_path / "to")
    except KitloreError:
        return
    assert found == _CONTENTS  # a bit of a date, say, which nothing depends on


def _add(name: str, content: bytes = b"x") -> Callable[[dict[str, bytes]], None]:
    """Add a part that the manifest lists rightly, so that only its name can be wrong."""

    def change(files: dict[str, bytes]) -> None:
        files[name] = content
        sha256 = hashlib.sha256(content).hexdigest()
        part = {"size": len(content), "sha256": sha256}
        _manifest(files, lambda manifest: manifest["parts"].update({name: part}))

    return change


@pytest.mark.parametrize(
    "name",
    [
        "../evil",
        "uploads/../../evil",
        "uploads/..",
        "uploads/./x",
        "uploads//x",
        "/etc/evil",
        "uploads/a\\..\\..\\evil",
        "C:evil",
        "uploads/C:evil",
        "uploads/line\nbreak",
        "uploads/",
        "uploads",
        "index/entries.json",
        "backups/old.zip",
        "serve.json",
    ],
)
def test_a_name_that_leads_elsewhere_is_refused(packed: Path, tmp_path: Path, name: str) -> None:
    _rewritten(packed, _add(name))
    with pytest.raises(StorageError, match="is no name of a part"):
        archive.unpack(packed, tmp_path / "deep" / "to")
    assert not (tmp_path / "deep").exists()


def test_a_link_in_the_zip_becomes_a_plain_file(packed: Path, tmp_path: Path) -> None:
    _rewritten(packed, _add("uploads/link", b"/etc/passwd"))
    with ZipFile(packed, "a") as changed:
        changed.getinfo("uploads/link").external_attr = 0o120777 << 16
        changed.comment = b"rewritten"
    archive.unpack(packed, tmp_path / "to")
    assert not (tmp_path / "to" / "uploads" / "link").is_symlink()
    assert (tmp_path / "to" / "uploads" / "link").read_bytes() == b"/etc/passwd"


def _foreign(files: dict[str, bytes]) -> None:
    files[archive.MANIFEST] = b'{"name": "somebody else\'s"}'


@pytest.mark.parametrize("change", [lambda files: files.pop(archive.MANIFEST), _foreign])
def test_a_zip_of_something_else_is_a_wrong_call(
    packed: Path, tmp_path: Path, change: Callable[[dict[str, bytes]], object]
) -> None:
    with pytest.raises(InvalidError, match="no backup that Kitlore made"):
        archive.unpack(_rewritten(packed, change), tmp_path / "to")


def _newer(files: dict[str, bytes]) -> None:
    _manifest(files, lambda manifest: manifest.update(format=2))


def test_a_newer_format_says_so(packed: Path, tmp_path: Path) -> None:
    _rewritten(packed, _newer)
    with pytest.raises(StorageError, match=r"newer kitlore \(format 2; this program knows 1\)"):
        archive.unpack(packed, tmp_path / "to")


def _without_database(files: dict[str, bytes]) -> None:
    del files[archive.DATABASE]
    _manifest(files, lambda manifest: manifest["parts"].pop(archive.DATABASE))


@pytest.mark.parametrize(
    "change",
    [
        lambda files: files.update({"uploads/more.jpg": b""}),
        lambda files: files.pop("uploads/cable.jpg"),
        lambda files: files.update({archive.SETTINGS: b'zone = "Europe/Paris."\n'}),
        lambda files: files.update({archive.SETTINGS: _CONTENTS[archive.SETTINGS] + b"#"}),
        lambda files: files.update({archive.SETTINGS: b""}),
        _without_database,
    ],
    ids=["one more", "one missing", "changed", "longer", "empty", "no database"],
)
def test_parts_that_are_not_as_listed_are_refused(
    packed: Path, tmp_path: Path, change: Callable[[dict[str, bytes]], object]
) -> None:
    with pytest.raises(StorageError, match="is damaged or no backup"):
        archive.unpack(_rewritten(packed, change), tmp_path / "to")


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_parts_of_one_name_are_refused(packed: Path, tmp_path: Path) -> None:
    with ZipFile(packed, "a") as changed:
        changed.writestr(archive.SETTINGS, b'zone = "UTC"\n')
    with pytest.raises(StorageError, match="does not hold the parts that its manifest lists"):
        archive.unpack(packed, tmp_path / "to")


def test_a_part_packed_in_an_unknown_way_is_refused(packed: Path, tmp_path: Path) -> None:
    with ZipFile(packed) as old:
        files = {name: old.read(name) for name in old.namelist()}
    with ZipFile(packed, "w", zipfile.ZIP_LZMA) as new:
        for name, content in files.items():
            new.writestr(name, content)
    with pytest.raises(StorageError, match="packed in an unknown way"):
        archive.unpack(packed, tmp_path / "to")


def test_a_locked_part_is_refused(packed: Path, tmp_path: Path) -> None:
    raw = bytearray(packed.read_bytes())
    central = raw.rindex(b"PK\x01\x02" + raw[raw.rindex(b"PK\x01\x02") + 4 :][:2])
    struct.pack_into("<H", raw, central + 8, 1)  # the flag of encryption, APPNOTE 4.4.4
    packed.write_bytes(raw)
    with pytest.raises(StorageError, match="is damaged or no backup"):
        archive.unpack(packed, tmp_path / "to")


def test_what_would_grow_to_fill_the_disk_is_refused_before_it_is_unpacked(
    packed: Path, tmp_path: Path
) -> None:
    _rewritten(packed, _add("uploads/zeros", bytes(64 * 1024 * 1024)))
    assert packed.stat().st_size < 200_000
    with pytest.raises(StorageError, match="made to fill"):
        archive.unpack(packed, tmp_path / "to")
    assert not (tmp_path / "to").exists()


def test_a_part_longer_than_its_manifest_says_is_cut_off(packed: Path, tmp_path: Path) -> None:
    def lie(manifest: Manifested) -> None:
        manifest["parts"]["uploads/cable.jpg"] = {"size": 1, "sha256": "0" * 64}

    _rewritten(packed, lambda files: files.update({"uploads/cable.jpg": bytes(20_000_000)}))
    _rewritten(packed, lambda files: _manifest(files, lie))
    with pytest.raises(StorageError, match=r"cable.jpg is not what was packed"):
        archive.unpack(packed, tmp_path / "to")
    assert (tmp_path / "to" / "uploads" / "cable.jpg").stat().st_size <= 1024 * 1024


def test_a_disk_without_room_is_told_before(
    packed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: _Room(1_000_000))
    with pytest.raises(StorageError, match=r"has room for 1.0 MB and 16.8 MB are needed"):
        archive.unpack(packed, tmp_path / "to")


def test_the_manifest_lists_what_a_reader_can_check_with_other_tools(packed: Path) -> None:
    with ZipFile(packed) as opened:
        manifest = Manifest.model_validate_json(opened.read(archive.MANIFEST))
    # FIPS 180-4's digest of the empty message, from memory.
    empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    assert manifest.parts["uploads/2026/Stecker größer.png"].sha256 == empty
    assert {name: part.size for name, part in manifest.parts.items()} == {
        name: len(content) for name, content in _CONTENTS.items()
    }
