"""A page under watch: what goes wrong behind it is collected, and asked for at the end."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from playwright.sync_api import ConsoleMessage, Page, Request, Response

TELL_VIOLATIONS = """
document.addEventListener('securitypolicyviolation',
  e => tellViolation(`${e.violatedDirective} ${e.blockedURI}`));
"""
# What lies below the first screen is drawn after it, and a form comes with its answer.
AT_REST = """() => new Promise(rest => {
  const still = () => { watch.disconnect(); rest(); };
  let timer = setTimeout(still, 100);
  const watch = new MutationObserver(() => { clearTimeout(timer); timer = setTimeout(still, 100); });
  watch.observe(document.body, { childList: true, subtree: true });
})"""
# A browser without graphics hardware tells how slow it is to show a canvas that was drawn in space.
SOFTWARE_DRAWING = "GPU stall due to ReadPixels"
OVERFLOW = """() => {
  const wide = document.documentElement.scrollWidth, screen = document.documentElement.clientWidth;
  if (wide <= screen) return null;
  const guilty = [...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > screen + 0.5)
    .map(e => `${e.tagName} ${e.textContent.trim().slice(0, 30)}`);
  return `${wide} px on ${screen} px: ${guilty.slice(0, 4).join('; ')}`;
}"""


@dataclass
class Watched:
    """A page and what happened behind it."""

    page: Page
    address: str
    troubles: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)  # patterns of troubles that the test brings about

    def __post_init__(self) -> None:
        page = self.page
        page.expose_function("tellViolation", lambda text: self._trouble(f"content policy: {text}"))
        page.add_init_script(TELL_VIOLATIONS)
        page.on("console", self._said)
        page.on("pageerror", lambda error: self._trouble(f"page error: {error}"))
        page.on("request", self._asked)
        page.on("requestfailed", self._failed)
        page.on("response", self._answered)

    def _said(self, said: ConsoleMessage) -> None:
        if said.type in {"error", "warning"} and SOFTWARE_DRAWING not in said.text:
            self._trouble(said.text)

    def _trouble(self, text: str) -> None:
        self.troubles.append(text)

    def _asked(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme in {"data", "blob"} or request.url.startswith(self.address):
            return
        self._trouble(f"another host: {request.url}")

    def _failed(self, request: Request) -> None:
        # ERR_ABORTED: the page itself let go of it, as of the events when it is left
        if request.failure != "net::ERR_ABORTED":
            self._trouble(f"failed: {request.url} {request.failure}")

    def _answered(self, response: Response) -> None:
        if response.status >= 400:
            self._trouble(f"answered {response.status}: {response.url}")

    def expect(self, pattern: str) -> None:
        """A trouble that this test brings about."""
        self.expected.append(pattern)

    def fits(self) -> None:
        """Nothing lies beyond the right edge."""
        found = self.page.evaluate(OVERFLOW)
        assert found is None, found

    def check(self) -> None:
        """Nothing went wrong, nothing left this machine, nothing is wider than the screen."""
        unexpected = [
            text for text in self.troubles if not any(re.search(each, text) for each in self.expected)
        ]
        assert not unexpected, "\n".join(unexpected)
        if not self.page.is_closed():
            self.fits()

    def open(self, path: str) -> Any:
        """Go to a room and wait until it stands there."""
        self.page.goto(self.address.rstrip("/") + path)
        self.settled()
        return self.page

    def settled(self) -> None:
        """A heading is there, nothing says that it is being fetched, and nothing more is being drawn."""
        page = self.page
        page.get_by_role("heading", level=1).first.wait_for(state="attached")
        for text in ("Being fetched.", "Wird geladen."):
            page.get_by_text(text, exact=True).first.wait_for(state="detached")
        page.evaluate(AT_REST)
