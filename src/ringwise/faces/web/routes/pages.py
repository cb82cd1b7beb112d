"""The built app: its page for every room, and its files."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ringwise.faces.web.static_files import asset, page

router = APIRouter(include_in_schema=False)

ROOMS = ("/", "/yard", "/tree/{rest:path}", "/start", "/settings", "/weather")


async def get_page(request: Request) -> Response:
    """The page of the app, whatever the room; the app reads the address itself."""
    return await page(request)


for _path in ROOMS:
    router.add_api_route(_path, get_page, methods=["GET", "HEAD"])


async def get_file(request: Request) -> Response:
    """A file of the built app."""
    return await asset(request, request.url.path.removeprefix("/"))


# Nothing deeper than the files of the app, so that an unknown method of the API stays one.
for _path in ("/assets/{name:path}", "/{name}"):
    router.add_api_route(_path, get_file, methods=["GET", "HEAD"])
