"""The file of a backup: a plain zip of parts, with a manifest of their sizes and SHA-256.

`kitlore.db` is an SQLite database whatever engine it was copied from, `kitlore.toml` holds the
settings, `uploads/...` the pictures, `manifest.json` says what must be there. The derived index
is never in it: it is rebuilt, and holds what must not be read from a stranger.
"""

import hashlib
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Annotated
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from kb.errors import InvalidError, NotFoundError, Problem, StorageError, quoted
from kb.records import disk

DATABASE = "kitlore.db"
SETTINGS = "kitlore.toml"
UPLOADS = "uploads/"
MANIFEST = "manifest.json"
FORMAT = 1

_MANIFEST_LIMIT = 32 * 1024 * 1024
_CHUNK = 1024 * 1024
# Databases shrink to a fifth or so; what grows a hundredfold is no honest copy.
_GROWTH = 100
_ALWAYS_ALLOWED = 32 * 1024 * 1024
_UPLOAD = re.compile(r"uploads(/[^/\\:\x00-\x1f]+)+")
_FOREIGN = "It is a zip, but no backup that Kitlore made. Name one from a 'backups' folder."


class Part(BaseModel):
    """One file in the zip: its bytes, and their SHA-256 in hexadecimal."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    size: Annotated[int, Field(ge=0)]
    sha256: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]


class About(BaseModel):
    """What was copied.

    Attributes:
        program: The version that made the copy.
        schema_revision: The schema of its database.
        base: The mark of the base it was copied from.
        made: When.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    program: str
    schema_revision: str
    base: str
    made: AwareDatetime


class Manifest(BaseModel):
    """What must be in the zip."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    format: Annotated[int, Field(ge=1, le=FORMAT)]
    about: About
    parts: dict[str, Part]


def pack(to: Path, about: About, files: Mapping[str, Path]) -> Manifest:
    """Write the zip.

    Args:
        to: Its path; it may be half written where this fails.
        about: What is copied.
        files: Name in the zip to the file that is copied.

    Raises:
        StorageError: A file can't be read or written, or has a name that no zip should hold.
    """
    parts = {}
    with disk.refusals(to), to.open("xb") as raw:
        with ZipFile(raw, "w", ZIP_DEFLATED, compresslevel=1) as packed:
            for name, path in files.items():
                _require_safe(name, path)
                parts[name] = _add(packed, name, path)
            manifest = Manifest(format=FORMAT, about=about, parts=parts)
            packed.writestr(MANIFEST, manifest.model_dump_json(indent=1))
        disk.sync(raw)
    return manifest


def unpack(path: Path, into: Path) -> Manifest:
    """Take every part out of the zip, each verified against the manifest.

    Nothing is written outside of `into`, and no more than the manifest says.

    Args:
        path: The zip.
        into: A new or empty folder; to be thrown away where this fails.

    Raises:
        InvalidError: It's a zip of something else.
        NotFoundError: There is no such file.
        StorageError: It's damaged, made to fill the disk, from a newer program, or there's no
            room.
    """
    if not path.is_file():
        raise NotFoundError(
            "backup", path.name, f"{path.parent} has no such file. Look in the 'backups' folder."
        )
    with _damage_told(path), disk.refusals(path, "unpacked"), ZipFile(path) as packed:
        infos = {info.filename: info for info in packed.infolist()}
        manifest = _manifest(packed, infos.get(MANIFEST), path)
        _require_as_listed(packed, manifest, path)
        into.mkdir(parents=True, exist_ok=True)
        disk.require_room(into, sum(part.size for part in manifest.parts.values()))
        for name, part in manifest.parts.items():
            _take(packed, infos[name], part, into / name)
    return manifest


def _add(packed: ZipFile, name: str, path: Path) -> Part:
    # Pictures are packed already; for a database the quick way is nearly as small.
    stored = name.startswith(UPLOADS)
    entry = ZipInfo.from_file(path, name, strict_timestamps=False) if stored else name
    digest, size = hashlib.sha256(), 0
    with path.open("rb") as source, packed.open(entry, "w", force_zip64=True) as target:
        while chunk := source.read(_CHUNK):
            digest.update(chunk)
            size += len(chunk)
            target.write(chunk)
    return Part(size=size, sha256=digest.hexdigest())


def _require_safe(name: str, path: Path) -> None:
    if not _is_safe(name):
        raise StorageError(
            f"{quoted(name)} has a name that not every system can keep. Rename it, then try "
            "again.",
            path,
        )


def _is_safe(name: str) -> bool:
    """Return whether a part may have the name: nothing that leads out of the folder."""
    return name in (DATABASE, SETTINGS) or (
        _UPLOAD.fullmatch(name) is not None and not {".", ".."} & set(name.split("/"))
    )


@contextmanager
def _damage_told(path: Path) -> Iterator[None]:
    try:
        yield
    except (
        zipfile.BadZipFile,
        zlib.error,
        struct.error,
        EOFError,
        NotImplementedError,
        RuntimeError,
        ValueError,
    ) as error:
        raise _damaged(path, str(error) or type(error).__name__) from error


def _damaged(path: Path, reason: str) -> StorageError:
    return StorageError(
        f"{path} is damaged or no backup ({quoted(reason)}). Nothing was changed. Copy it anew "
        "from where it was kept, or take another backup.",
        path,
    )


def _manifest(packed: ZipFile, info: ZipInfo | None, path: Path) -> Manifest:
    if info is None:
        raise InvalidError([Problem(str(path), _FOREIGN)])
    if info.file_size > _MANIFEST_LIMIT:
        raise _damaged(path, "the manifest is too long")
    with packed.open(info) as source:
        raw = source.read(_MANIFEST_LIMIT)
    try:
        return Manifest.model_validate_json(raw)
    except ValidationError as error:
        first = error.errors()[0]
        if first["loc"] == ("format",) and first["type"] == "less_than_equal":
            raise StorageError(
                f"{path} was made by a newer kitlore (format {first['input']}; this program "
                f"knows {FORMAT}). Nothing was changed. Bring this program up to date.",
                path,
            ) from None
        raise InvalidError([Problem(str(path), _FOREIGN)]) from None


def _require_as_listed(packed: ZipFile, manifest: Manifest, path: Path) -> None:
    """Refuse a zip that holds anything else than its manifest says, before it's unpacked."""
    infos = packed.infolist()
    listed = {*manifest.parts, MANIFEST}
    if sorted(info.filename for info in infos) != sorted(listed):
        raise _damaged(path, "it does not hold the parts that its manifest lists")
    bad = [name for name in manifest.parts if not _is_safe(name)]
    if bad or not {DATABASE, SETTINGS} <= listed:
        raise _damaged(path, f"{bad[0]} is no name of a part" if bad else "a part is missing")
    if any(info.compress_type not in (ZIP_STORED, ZIP_DEFLATED) for info in infos):
        raise _damaged(path, "a part is packed in an unknown way")
    size = path.stat().st_size
    overlap = sum(info.compress_size for info in infos) > size
    grown = sum(part.size for part in manifest.parts.values())
    if overlap or grown > max(_ALWAYS_ALLOWED, size * _GROWTH):
        raise _damaged(
            path, f"{disk.megabytes(size)} would grow to {disk.megabytes(grown)}, made to fill"
        )


def _take(packed: ZipFile, info: ZipInfo, part: Part, to: Path) -> None:
    to.parent.mkdir(parents=True, exist_ok=True)
    with packed.open(info) as source, to.open("wb") as target:
        size, sha256 = _copied(source, target, part.size)
        disk.sync(target)
    if (size, sha256) != (part.size, part.sha256):
        msg = f"{info.filename} is not what was packed"
        raise ValueError(msg)


def _copied(source: IO[bytes], target: IO[bytes], limit: int) -> tuple[int, str]:
    """Copy a stream, stopping where it gets longer than it may; return its size and digest."""
    digest, size = hashlib.sha256(), 0
    while size <= limit and (chunk := source.read(_CHUNK)):
        digest.update(chunk)
        size += len(chunk)
        target.write(chunk)
    return size, digest.hexdigest()
