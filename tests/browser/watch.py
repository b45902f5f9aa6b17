"""What a page does beside what it shows: its requests, and the errors of its scripts."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from playwright.sync_api import BrowserContext, ConsoleMessage, Request, WebError

INSIDE = {"data", "blob", "about"}  # schemes that ask nobody


@dataclass
class Watch:
    """Records one browser context; nothing but `home` may be asked, and no script may fail.

    `expected` holds patterns of console errors that a test brings about on purpose.
    """

    home: str
    requests: list[str] = field(default_factory=list)
    foreign: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)

    def over(self, context: BrowserContext) -> None:
        """Watch a context from now on; a request to anywhere else is noted and does not get out."""
        context.on("request", self._note)
        context.on("console", self._console)
        context.on("weberror", self._failed)
        context.route(lambda address: not self.own(address), lambda route: route.abort())

    def own(self, address: str) -> bool:
        """True for the bench itself and for what needs no request at all."""
        return urlsplit(address).scheme in INSIDE or f"{address}/".startswith(f"{self.home}/")

    def _note(self, request: Request) -> None:
        self.requests.append(request.url)
        if not self.own(request.url):
            self.foreign.append(request.url)

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.errors.append(message.text)

    def _failed(self, error: WebError) -> None:
        self.errors.append(str(error.error))

    def trouble(self) -> list[str]:
        """Everything that should not have happened."""
        surprising = [each for each in self.errors if not any(re.search(known, each) for known in self.expected)]
        return [*(f"request to {each}" for each in self.foreign), *surprising]
