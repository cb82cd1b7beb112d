"""Asking an address over HTTP within limits of size, time and place; nothing here is done unasked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urljoin, urlsplit

from ringwise import __version__
from ringwise.kit.errors import FetchError, InputError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from httpx import AsyncClient, Response

MOST_BYTES = 20 * 1024 * 1024
LONGEST_S = 30.0  # from the first look-up of the name to the last byte
MOST_REDIRECTS = 4
USER_AGENT = f"ringwise/{__version__}"
_REDIRECTS = {301, 302, 303, 307, 308}
# What daily weather comes as; a page for people, a picture or a programme is none.
_ACCEPTED = {
    "",
    "text/csv",
    "text/plain",
    "text/tab-separated-values",
    "application/csv",
    "application/json",
    "application/zip",
    "application/x-zip-compressed",
    "application/gzip",
    "application/x-gzip",
    "application/octet-stream",
}


@dataclass(frozen=True)
class Fetched:
    """An answer: status 200 with its body, or 304 without one."""

    status: int
    body: bytes
    content_type: str
    etag: str
    modified: str
    retry_after: str = ""


def checked_address(address: str) -> str:
    """An address that may be asked.

    Parameters
    ----------
    address : str
        As it was typed.

    Returns
    -------
    str
        Without blanks around it.

    Raises
    ------
    InputError
        If it is no http or https address of a host.

    Examples
    --------
    >>> checked_address(" https://weather.example/daily.csv ")
    'https://weather.example/daily.csv'
    """
    text = address.strip()
    try:
        parts = urlsplit(text)
        sound = parts.scheme in {"http", "https"} and bool(parts.hostname) and (parts.port or 1) > 0
    except ValueError:
        sound = False
    if not sound or any(sign.isspace() or not sign.isprintable() for sign in text):
        raise InputError(
            _("the weather address is no http or https address; write it like https://host/file.csv")
        )
    return text


def fetch(address: str, headers: Mapping[str, str]) -> Fetched:
    """Ask an address once, within the limits.

    Parameters
    ----------
    address : str
        From `checked_address`.
    headers : mapping of str to str
        Such as If-None-Match.

    Returns
    -------
    Fetched
        Any status but a redirect.

    Raises
    ------
    FetchError
        If it takes too long, is too large, breaks off, or leads to another host.
    """
    import asyncio

    import httpx

    host = urlsplit(address).hostname or ""

    async def ask() -> Fetched:
        async with (
            asyncio.timeout(LONGEST_S),
            httpx.AsyncClient(
                follow_redirects=False,
                timeout=LONGEST_S,
                headers={"User-Agent": USER_AGENT, "Accept-Encoding": "gzip", **headers},
            ) as client,
        ):
            return await _followed(client, address)

    try:
        return asyncio.run(ask())
    except (TimeoutError, httpx.TimeoutException):
        raise FetchError(
            _("did not answer in full within {s} s; try again later").format(s=f"{LONGEST_S:g}"), where=host
        ) from None
    except httpx.RemoteProtocolError:
        raise FetchError(_("broke off before the answer was whole; try again later"), where=host) from None
    except httpx.DecodingError:
        raise FetchError(_("sent an answer that does not unpack"), where=host) from None
    except (httpx.HTTPError, httpx.InvalidURL, OSError):
        raise FetchError(
            _("could not be reached; check the address and the connection"), where=host
        ) from None


async def _followed(client: AsyncClient, address: str) -> Fetched:
    """The answer at the end of at most a few redirects, all of them on the same host."""
    here = address
    for _hop in range(MOST_REDIRECTS + 1):
        async with client.stream("GET", here) as response:
            if response.status_code not in _REDIRECTS:
                return await _read(response, urlsplit(here).hostname or "")
            there = urljoin(here, response.headers.get("location", ""))
        if not _same_place(here, there):
            raise FetchError(
                _("leads to another place ({place}); if that is right, set it as the address").format(
                    place=_origin(there)
                ),
                where=urlsplit(here).hostname or "",
            )
        here = there
    raise FetchError(
        _("leads from one address to the next without end"), where=urlsplit(address).hostname or ""
    )


def _origin(address: str) -> str:
    parts = urlsplit(address)
    return f"{parts.scheme}://{parts.netloc.rpartition('@')[2]}"


def _same_place(here: str, there: str) -> bool:
    """The same host and port; from http to https of the same host is the one step that may be taken."""
    try:
        old, new = urlsplit(here), urlsplit(there)
        ports = tuple(each.port or {"http": 80, "https": 443}.get(each.scheme, 0) for each in (old, new))
    except ValueError:
        return False
    if old.hostname != new.hostname or new.scheme not in {"http", "https"}:
        return False
    return (old.scheme == new.scheme and ports[0] == ports[1]) or (
        (old.scheme, new.scheme) == ("http", "https") and ports == (80, 443)
    )


async def _read(response: Response, host: str) -> Fetched:
    """The answer's body, given up as soon as it is too large or no weather."""
    kind = response.headers.get("content-type", "").split(";")[0].strip().lower()
    too_large = FetchError(
        _("sends more than {mb} MB; ask for fewer years").format(mb=MOST_BYTES // 1024 // 1024), where=host
    )
    body = bytearray()
    if response.status_code == 200:
        if kind not in _ACCEPTED:
            raise FetchError(
                _('sent "{kind}", which is no weather file; check the address').format(kind=kind[:60]),
                where=host,
            )
        if int(_digits(response.headers.get("content-length", ""))) > MOST_BYTES:
            raise too_large
        async for chunk in response.aiter_bytes():
            body += chunk
            if len(body) > MOST_BYTES:
                raise too_large
    return Fetched(
        response.status_code,
        bytes(body),
        kind,
        response.headers.get("etag", ""),
        response.headers.get("last-modified", ""),
        response.headers.get("retry-after", ""),
    )


def _digits(text: str) -> str:
    return text if text.isascii() and text.isdigit() else "0"
