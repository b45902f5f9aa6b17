"""How one server runs; made once at the start and never changed."""

from __future__ import annotations

import ipaddress
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field

from lowsimmer.domain.errors import InputError

LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")
ANY_ADDRESS = ("0.0.0.0", "::")
PORT = 8424
RATE = 40.0  # requests a second that one client may keep up
_NAME = re.compile(r"(?:(https?)://)?([a-z0-9](?:[a-z0-9.-]{0,252})|\[[0-9a-f:.]+\])(?::(\d{1,5}))?/?")
_USUAL_PORT = {"http": 80, "https": 443}


def is_loopback(host: str) -> bool:
    """True for an address that only this machine can reach."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def bracketed(host: str) -> str:
    """A host as it stands in an address: IPv6 in brackets."""
    return f"[{host}]" if ":" in host and not host.startswith("[") else host


def host_header(host: str, port: int, scheme: str = "http") -> str:
    """The Host header of requests to a host: a scheme's usual port is left out (RFC 9110, 7.2)."""
    name = bracketed(host).lower()
    return name if port == _USUAL_PORT[scheme] else f"{name}:{port}"


def allowed(name: str, port: int) -> tuple[str, str]:
    """Host header and scheme of a further name: NAME and NAME:PORT by http, https://NAME where a proxy stands in front.

    Raises InputError for anything else.
    """
    found = _NAME.fullmatch(name.lower())
    if found is None:
        raise InputError(f"'{name[:60]}' is not a host name.", "Write NAME, NAME:PORT or https://NAME.")
    scheme = found[1] or "http"
    usual = _USUAL_PORT["https"] if scheme == "https" else port
    return host_header(found[2], int(found[3] or usual), scheme), scheme


@dataclass(frozen=True, slots=True)
class Settings:
    """Address, password and limits.

    `password_hash` is an argon2 hash, None for a bench without a password. `names` are host names that this server
    answers to beside the one it is bound to, as `allowed` reads them. `rate` is requests a second that one client may
    keep up, `burst` how many at once.
    """

    host: str = "127.0.0.1"
    port: int = PORT
    password_hash: str | None = None
    secret: str = field(default_factory=lambda: secrets.token_hex(32))
    names: tuple[str, ...] = ()
    where: str = ""
    rate: float = RATE
    burst: int = 200

    @property
    def anywhere(self) -> bool:
        """True when the server listens on every address of the machine."""
        return self.host in ANY_ADDRESS

    @property
    def hosts(self) -> Mapping[str, str]:
        """The Host headers that are answered, each with its scheme."""
        near = LOOPBACK_NAMES if self.anywhere or is_loopback(self.host) else ()
        own = () if self.anywhere else (self.host,)
        bound = {host_header(name, self.port): "http" for name in (*near, *own)}
        return bound | dict(allowed(name, self.port) for name in self.names)

    @property
    def address(self) -> str:
        """Where a browser on this machine finds the bench."""
        return f"http://{host_header('127.0.0.1' if self.anywhere else self.host, self.port)}/"
