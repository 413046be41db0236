"""Pictures of a fault: added, shown, taken down."""

from functools import partial
from typing import Annotated

from fastapi import APIRouter, File, Request, Response, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse

from kb.faults import photos
from kb.web import pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.routes import fault_acts
from kb.web.routes.fault_acts import Press

router = APIRouter(include_in_schema=False)
Photo = Annotated[UploadFile | None, File()]


@router.get("/photos/{digest}")
def picture(session: Reading, place: Place, digest: str) -> Response:
    """Return a picture."""
    content = photos.content_of(session, place.uploads, digest)
    return Response(
        content, media_type="image/jpeg", headers={"Cache-Control": "private, max-age=86400"}
    )


@router.post("/faults/{number}/photo")
async def photo(
    request: Request, number: int, form: Form, place: Place, now: Now, photo: Photo = None
) -> Response:
    """Add a picture."""
    content = await read(photo)
    return await run_in_threadpool(kept, Press(request, place, now, number, form), content)


@router.post("/faults/{number}/photos/{digest}/down")
def down(request: Request, number: int, digest: str, place: Place, now: Now) -> Response:
    """Show a picture no more."""
    act = partial(photos.take_down_photo, number=number, digest=digest, at=now)
    return fault_acts.done(Press(request, place, now, number, {}), act)


async def read(photo: UploadFile | None) -> bytes:
    """Return what was sent, of something too large only enough to see that; nothing for none."""
    return await photo.read(photos.MOST_BYTES + 1) if photo else b""


def kept(press: Press, content: bytes) -> Response:
    """Keep a picture and show the fault; without one only show it."""
    if not content:
        return RedirectResponse(f"/faults/{press.number}", pages.SEE_OTHER)
    act = partial(
        photos.keep_photo,
        folder=press.place.uploads,
        number=press.number,
        content=content,
        at=press.now,
    )
    return fault_acts.done(press, act)
