"""Pictures of a fault: checked by content, turned upright, made small, without where and when.

A camera writes place and time into its files (EXIF); none of that is kept. A picture is stored
under the SHA-256 of what is kept, outside of anything that is served as it lies.
"""

import hashlib
import io
import re
import warnings
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError
from sqlmodel import Session, col, select

from kb.errors import InvalidError, NotFoundError, Problem
from kb.faults import log
from kb.records import settings
from kb.records.tables.faults import Photo
from kb.records.unit import writer

MOST_BYTES = 20_000_000
MOST_PIXELS = 50_000_000
SIDE = 2_000
MOST_OF_A_FAULT = 20
_TOO_MANY_PIXELS = "it has over 50 megapixels. Send a smaller one."
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITY = 82
# The file type box of ISO/IEC 14496-12, with the brands of ISO/IEC 23008-12 and of AVIF.
_HEIF = re.compile(rb"....ftyp(?:heic|heix|hevc|heim|heis|mif1|msf1|avif|avis)", re.DOTALL)
_DIGEST = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class PhotoLine:
    """A picture in a list: the name that it's asked for by, and its size in pixels."""

    digest: str
    width: int
    height: int
    at: datetime
    by: str


def keep_photo(session: Session, folder: Path, number: int, content: bytes, at: datetime) -> str:
    """Keep a picture of a fault, and return its name.

    Args:
        session: The unit of work.
        folder: Where pictures are kept.
        number: The fault's number.
        content: The file as it came.
        at: When.

    Raises:
        InvalidError: It's no picture that can be read, or too large.
        NotFoundError: The fault is unknown.
        StorageError: The folder can't be written.
    """
    fault = log.fault_by(session, number)
    picture = small(content)
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=_QUALITY, optimize=True)
    digest = hashlib.sha256(file.getvalue()).hexdigest()
    there = photos_of(session, number)
    if len(there) >= MOST_OF_A_FAULT and digest not in {one.digest for one in there}:
        raise _refused(f"this fault has {len(there)} pictures, more don't help. Take one down.")
    # The file comes first: a row never names a picture that isn't there.
    settings.write_whole(_path(folder, digest), file.getvalue())
    if any(one.digest == digest for one in there):
        return digest  # sent twice
    session.add(
        Photo(
            fault_id=fault.key,
            digest=digest,
            media_type="image/jpeg",
            width=picture.width,
            height=picture.height,
            at=at,
            by=writer(session).who,
        ),
    )
    session.flush()
    return digest


def take_down_photo(session: Session, number: int, digest: str, at: datetime) -> None:
    """Show a picture no more that was added by a slip; that it was there stays known.

    Raises:
        NotFoundError: The fault is unknown, or has no such picture.
    """
    found = session.scalars(
        select(Photo).where(
            Photo.fault_id == log.fault_by(session, number).key,
            Photo.digest == digest,
            col(Photo.removed_at).is_(None),
        ),
    ).first()
    if found is None:
        raise NotFoundError("picture", digest[:12], "It may have been taken down already.")
    found.removed_at = at
    session.flush()


def photos_of(session: Session, number: int) -> tuple[PhotoLine, ...]:
    """Return the pictures of a fault, oldest first.

    Raises:
        NotFoundError: The fault is unknown.
    """
    found = session.scalars(
        select(Photo)
        .where(
            Photo.fault_id == log.fault_by(session, number).key, col(Photo.removed_at).is_(None)
        )
        .order_by(col(Photo.at), col(Photo.id)),
    )
    return tuple(PhotoLine(one.digest, one.width, one.height, one.at, one.by) for one in found)


def content_of(session: Session, folder: Path, digest: str) -> bytes:
    """Return a picture that some fault has.

    Raises:
        NotFoundError: No fault has it, or its file is missing.
    """
    known = (
        _DIGEST.fullmatch(digest)
        and session.scalars(
            select(Photo.id)
            .where(Photo.digest == digest, col(Photo.removed_at).is_(None))
            .limit(1),
        ).first()
    )
    path = _path(folder, digest)
    if not known or not path.is_file():
        raise NotFoundError("picture", digest[:12], "It may have been left out of a backup.")
    return path.read_bytes()


def small(content: bytes) -> Image.Image:
    """Return the picture upright, within the size that is kept, with nothing beside its pixels.

    Raises:
        InvalidError: It's no picture that can be read, or too large.
    """
    if len(content) > MOST_BYTES:
        raise _refused(f"it has {len(content) / 1e6:.0f} MB, 20 fit. Send a smaller one.")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=_FORMATS) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise _refused(_TOO_MANY_PIXELS)
                opened.draft("RGB", (SIDE, SIDE))
                upright = ImageOps.exif_transpose(opened).convert("RGB")
    except UnidentifiedImageError:
        if _HEIF.match(content[:32]):
            raise _refused(
                "it is a HEIF picture (HEIC, AVIF), which can't be read here. Set the camera to "
                "JPEG, or send a screenshot of it."
            ) from None
        raise _refused("it is no JPEG, PNG or WebP picture. Take another.") from None
    except Image.DecompressionBombError:
        raise _refused(_TOO_MANY_PIXELS) from None
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombWarning) as error:
        raise _refused("it can't be read to its end. Take it again.") from error
    upright.thumbnail((SIDE, SIDE))
    plain = Image.new("RGB", upright.size)
    plain.paste(upright)
    return plain


def _refused(message: str) -> InvalidError:
    return InvalidError([Problem("photo", message)])


def _path(folder: Path, digest: str) -> Path:
    return folder / f"{digest}.jpg"
