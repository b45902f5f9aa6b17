"""Starting the bench: where its data lies, its secrets, its address, and the server itself."""

from __future__ import annotations

import logging
import os
import secrets
import signal
import socket
import sys
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from lowsimmer.domain.errors import InputError
from lowsimmer.store.store import Store
from lowsimmer.web.settings import LOOPBACK_NAMES, RATE, Settings, allowed, bracketed, is_loopback

STORE = "LOWSIMMER_STORE"
POSTGRES = ("postgresql://", "postgresql+psycopg://")
SHORTEST, LONGEST = 8, 200  # characters of a password
WAITING = 128  # connections that may wait to be taken
AT_ONCE_SECONDS = 5  # a client may ask at once for as much as its rate allows in this time
LEAST_AT_ONCE = 200
GRACE = 5  # seconds that answers under way are given at a stop
PRIVATE_FOLDER, PRIVATE_FILE = 0o700, 0o600
SECRET, PASSWORD = "session-secret", "password-hash"


def data_folder() -> Path:
    """Where the bench keeps its data: $XDG_DATA_HOME/lowsimmer, else .local/share/lowsimmer of the user."""
    given = os.environ.get("XDG_DATA_HOME", "")
    if os.path.isabs(given):  # the XDG base directory rules have other values ignored
        return Path(given) / "lowsimmer"
    try:
        return Path.home() / ".local" / "share" / "lowsimmer"
    except RuntimeError as error:
        raise InputError("There is no home folder to keep data in.", "Set XDG_DATA_HOME to a folder.") from error


def where_of(given: str | None) -> str:
    """The store that is meant: the one given, that of the environment, else the file in the data folder.

    Raises InputError for the address of a database that is not PostgreSQL.
    """
    where = given or os.environ.get(STORE) or str(data_folder() / "bench.sqlite")
    if "://" in where and not where.startswith(POSTGRES):
        scheme = where.split("://", 1)[0][:20]
        raise InputError(
            f"A store of the kind '{scheme}' is not known.", "Give an SQLite file or an address postgresql://..."
        )
    return where


def private_folder() -> Path:
    """The data folder, made for its owner alone when it is not there. Raises InputError."""
    folder = data_folder()
    try:
        folder.mkdir(PRIVATE_FOLDER, parents=True, exist_ok=True)
    except OSError as error:
        raise _not_kept(folder, error) from error
    return folder


def _not_kept(path: Path, error: OSError) -> InputError:
    reason = (error.strerror or "unknown reason").lower()
    return InputError(f"'{path}' cannot be used: {reason}.", "Set XDG_DATA_HOME to a folder that is yours.")


def _write_private(name: str, text: str) -> None:
    """Write a file of the data folder that only its owner can read; it is there whole or not at all."""
    path = private_folder() / name
    unfinished = path.with_name(f"{name}.{secrets.token_hex(4)}")
    try:
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, PRIVATE_FILE)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        unfinished.replace(path)
    except OSError as error:
        raise _not_kept(path, error) from error


def _read_private(name: str) -> str | None:
    """What a file of the data folder holds; None when it is not there. Raises InputError."""
    path = data_folder() / name
    try:
        return path.read_text(encoding="utf-8").strip() or None
    except FileNotFoundError:
        return None
    except OSError as error:
        raise _not_kept(path, error) from error


def session_secret() -> str:
    """The secret that signs session cookies, made at the first start."""
    kept = _read_private(SECRET)
    if kept is None:
        kept = secrets.token_hex(32)
        _write_private(SECRET, kept)
    return kept


def set_password(password: str) -> None:
    """Keep the argon2 hash of a password; cookies signed before it are good no more. Raises InputError."""
    from lowsimmer.web.guard.sign_in import hashed

    if not SHORTEST <= len(password) <= LONGEST:
        raise InputError(f"The password has {len(password)} characters.", f"Use {SHORTEST} to {LONGEST}.")
    _write_private(PASSWORD, hashed(password))
    _write_private(SECRET, secrets.token_hex(32))


def settings_for(host: str, port: int, names: tuple[str, ...], where: str, rate: float = RATE) -> Settings:
    """The settings of a server. Raises InputError when it would be reachable by others without a password.

    A further name means that something stands in front of the bench, so it counts as reachable too. Once a password
    is set, it is asked for on every address: other people may have accounts on this machine.
    """
    if not rate > 0:
        raise InputError(f"A rate of {rate:g} requests a second answers nobody.", "Use a rate above 0.")
    password = _read_private(PASSWORD)
    reached = [host, *(name for name in names if allowed(name, port)[0].rsplit(":", 1)[0] not in LOOPBACK_NAMES)]
    open_to = next((each for each in reached if not is_loopback(each)), None)
    if open_to is not None and password is None:
        raise InputError(
            f"The bench would be reachable at '{open_to}' without a password.",
            "Set one first: lowsimmer serve --set-password.",
        )
    at_once = max(LEAST_AT_ONCE, int(rate * AT_ONCE_SECONDS))
    return Settings(host, port, password, session_secret(), names, where, rate, at_once)


def bound(host: str, port: int) -> socket.socket:
    """The socket that the server listens on. Raises InputError when the address cannot be had."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # The protocol is named, for only then does asyncio send small answers at once instead of waiting 40 ms for more.
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
        made.listen(WAITING)
    except (OSError, OverflowError) as error:
        made.close()
        reason = str(getattr(error, "strerror", None) or error).lower()
        raise InputError(
            f"{bracketed(host)}:{port} cannot be used: {reason}.", "Another bench may stand there; try another --port."
        ) from error
    return made


def run(store: Store, settings: Settings, told: Callable[[str], None]) -> None:
    """Serve until Ctrl-C or a request to end; `told` is called with the address as soon as it can be opened.

    Port 0 takes a free one. Raises InputError when the address cannot be had.
    """
    from lowsimmer.web.app import make_app
    from lowsimmer.web.server import serve_on

    _log_to_stderr()
    with bound(settings.host, settings.port) as listening:
        settings = replace(settings, port=listening.getsockname()[1])
        app = make_app(store, settings)
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        try:
            told(settings.address)
            serve_on(app, listening, GRACE)
        except KeyboardInterrupt:
            pass  # the server has stopped by itself and says by which signal
        finally:
            store.close()


def _log_to_stderr() -> None:
    """Our lines go to standard error; of a mishap in a thread only type and place are said, never its words."""
    from lowsimmer.web.guard.log import LOG, place_of

    if not LOG.handlers:
        LOG.addHandler(logging.StreamHandler(sys.stderr))
    LOG.setLevel(logging.INFO)
    LOG.propagate = False

    def mishap(thrown: threading.ExceptHookArgs) -> None:
        place = place_of(thrown.exc_value) if thrown.exc_value else "no place"
        LOG.error("%s at %s", thrown.exc_type.__name__, place)

    threading.excepthook = mishap
