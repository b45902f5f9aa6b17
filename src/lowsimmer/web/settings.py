"""How one server runs; made once at the start and never changed."""

from __future__ import annotations

import ipaddress
import secrets
from dataclasses import dataclass, field

LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")
PORT = 8424


def is_loopback(host: str) -> bool:
    """True for an address that only this machine can reach."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@dataclass(frozen=True, slots=True)
class Settings:
    """Address, password and limits.

    `password_hash` is an argon2 hash, None for a bench without a password. `names` are host names that this server
    answers to beside those of the loopback. `rate` is requests a second that one client may keep up, `burst` how many
    at once.
    """

    host: str = "127.0.0.1"
    port: int = PORT
    password_hash: str | None = None
    secret: str = field(default_factory=lambda: secrets.token_hex(32))
    names: tuple[str, ...] = ()
    where: str = ""
    rate: float = 40.0
    burst: int = 200

    @property
    def hosts(self) -> frozenset[str]:
        """The Host headers that are answered."""
        names = (*LOOPBACK_NAMES, *self.names, *(() if self.host in {"0.0.0.0", "::"} else (self.host,)))
        return frozenset(f"{name}:{self.port}" for name in names) | set(self.names)
