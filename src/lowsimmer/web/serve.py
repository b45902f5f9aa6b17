"""Starting the bench: where its data lies, its secrets, its address, and the server itself."""

from __future__ import annotations

import logging
import os
import secrets
import socket
import sys
from pathlib import Path

from lowsimmer.domain.errors import InputError
from lowsimmer.store.store import Store
from lowsimmer.web.settings import Settings, is_loopback

STORE = "LOWSIMMER_STORE"
SHORTEST = 8  # characters of a password


def data_folder() -> Path:
    """Where the bench keeps its data: $XDG_DATA_HOME/lowsimmer, else .local/share/lowsimmer of the user."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "lowsimmer"


def where_of(given: str | None) -> str:
    """The store that is meant: the one given, that of the environment, else the file in the data folder."""
    return given or os.environ.get(STORE) or str(data_folder() / "bench.sqlite")


def _kept_secret(name: str) -> Path:
    folder = data_folder()
    folder.mkdir(parents=True, exist_ok=True)
    return folder / name


def _write_private(path: Path, text: str) -> None:
    """Write a file that only its owner can read."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)


def session_secret() -> str:
    """The secret that signs session cookies, made at the first start."""
    path = _kept_secret("session-secret")
    if not path.exists():
        _write_private(path, secrets.token_hex(32))
    return path.read_text(encoding="utf-8").strip()


def set_password(password: str) -> None:
    """Keep the argon2 hash of a password. Raises InputError for one that is too short."""
    from lowsimmer.web.guard.sign_in import hashed

    if len(password) < SHORTEST:
        raise InputError("The password is too short.", f"Use at least {SHORTEST} characters.")
    _write_private(_kept_secret("password-hash"), hashed(password))


def password_hash() -> str | None:
    """The kept hash; None when no password was set."""
    path = data_folder() / "password-hash"
    return path.read_text(encoding="utf-8").strip() if path.exists() else None


def settings_for(host: str, port: int, names: tuple[str, ...], where: str, rate: float = 40.0) -> Settings:
    """The settings of a server. Raises InputError when it would be reachable by others without a password."""
    stored = password_hash()
    if not is_loopback(host) and stored is None:
        raise InputError(
            f"The bench would be reachable at {host} without a password.",
            "Set one first: lowsimmer serve --set-password.",
        )
    locked = stored if not is_loopback(host) or names else None
    return Settings(host, port, locked, session_secret(), names, where, rate, max(200, int(rate * 5)))


def bound(host: str, port: int) -> socket.socket:
    """The socket the server will listen on. Raises InputError when the port is taken."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
    except OSError as error:
        made.close()
        raise InputError(f"{host}:{port} cannot be used: {(error.strerror or '').lower()}.", "Try --port.") from error
    return made


def run(store: Store, settings: Settings) -> None:
    """Serve until Ctrl-C."""
    import uvicorn

    from lowsimmer.web.app import make_app

    logging.basicConfig(stream=sys.stderr, level=logging.INFO, format="%(message)s")
    listening = bound(settings.host, settings.port)
    config = uvicorn.Config(
        make_app(store, settings), log_level="warning", access_log=False, server_header=False, proxy_headers=False,
        lifespan="off", timeout_graceful_shutdown=5,
    )  # fmt: skip
    print(f"The bench stands at http://{settings.host}:{settings.port} (Ctrl-C stops it).", flush=True)
    try:
        uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        store.close()
    print("Stopped. Everything that was acknowledged is kept.", flush=True)
