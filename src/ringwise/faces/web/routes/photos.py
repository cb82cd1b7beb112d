"""Photos: the strip of a tree, photos that come in, their marks, their small pictures."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, Path, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import FileResponse

from ringwise.faces.web.contract import CHANGES, READS, Answers, body_of
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import EntryId, PhotoQuery, TreeName
from ringwise.faces.web.routes.yard import FOR_EVER
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.trees import PhotoChange, Strips
from ringwise.faces.web.uploads import PHOTO_TYPES, PHOTOS_MOST_BYTES, received
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(tags=["photos"])

_PICTURE: Answers = {200: {"description": "The small picture.", "content": {"image/webp": {}}}}


@router.get(
    "/api/trees/{tree}/photos",
    response_model=Strips,
    responses=READS,
    operation_id="photos",
    dependencies=NAMED,
    summary="Photos of a tree",
)
def get_photos(desk: Desk, tree: TreeName) -> Any:
    """All photos of a tree by side, and the sides that are missing this growing year."""
    from ringwise.desk.photos import photo_strip

    return desk(photo_strip, tree)


@router.post(
    "/api/trees/{tree}/photos",
    response_model=Done,
    responses=CHANGES,
    operation_id="addPhoto",
    summary="Add a photo",
    openapi_extra=body_of(PHOTO_TYPES, "The image as the camera made it."),
)
async def post_photo(
    desk: Desk, tree: TreeName, query: Annotated[PhotoQuery, Query()], request: Request
) -> Any:
    """Take in a photo; it becomes an entry of the tree."""
    from ringwise.desk.photos import PhotoGiven, add_photo

    async with received(request, desk.yard.folder, PHOTOS_MOST_BYTES) as file:
        given = PhotoGiven(
            view=query.view or "front",
            date=query.date,
            note=query.note,
            file_modified=query.modified or None,
            original_name=query.name,
            called=query.name,
            id=query.key,
        )
        return done(await run_in_threadpool(lambda: desk(add_photo, tree, file, given)))


@router.patch(
    "/api/photos/{entry}",
    response_model=Done,
    responses=CHANGES,
    operation_id="editPhoto",
    summary="Mark a photo",
)
def patch_photo(desk: Desk, entry: EntryId, change: Annotated[PhotoChange, Body()]) -> Any:
    """Correct the tags of a photo or set marks on it."""
    from ringwise.desk.photos import PhotoChange as Change
    from ringwise.desk.photos import edit_photo

    return done(desk(edit_photo, entry, Change(**change.model_dump())))


@router.get(
    "/photos/{sha256}/{width_px}.webp",
    responses={**READS, **_PICTURE},
    response_class=FileResponse,
    operation_id="thumb",
    summary="Small picture of a photo",
)
def get_thumb(
    desk: Desk,
    sha256: Annotated[str, Path(pattern="^[0-9a-f]{64}$", description="SHA-256 of the photo.")],
    width_px: Annotated[Literal["256", "800", "1600"], Path(description="Longest side.")],
) -> Any:
    """A small picture; it never changes."""
    from ringwise.desk.photos import thumb_file

    file = desk(thumb_file, sha256, int(width_px))
    kept = {"Cache-Control": FOR_EVER, "Content-Security-Policy": "default-src 'none'; sandbox"}
    return FileResponse(file, media_type="image/webp", headers=kept)
