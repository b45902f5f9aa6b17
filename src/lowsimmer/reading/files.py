"""Opening what a person names on the command line: size, encoding, and one clear sentence when it cannot be read."""

from __future__ import annotations

import sys
from pathlib import Path

from lowsimmer.domain.errors import InputError

MOST_BYTES = 4 * 1024 * 1024


def read_text(name: str) -> str:
    """The text of a file, or of standard input for '-'. Raises InputError for anything that is not readable text."""
    data = sys.stdin.buffer.read(MOST_BYTES + 1) if name == "-" else _bytes(Path(name))
    what = "standard input" if name == "-" else f"'{name}'"
    if len(data) > MOST_BYTES:
        raise InputError(
            f"{what} is larger than {MOST_BYTES // 1024 // 1024} MB.", "Give one dish, meal or list of lines."
        )
    return decode(data, what)


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as handle:
            return handle.read(MOST_BYTES + 1)
    except IsADirectoryError as error:
        raise InputError(f"'{path}' is a folder.", "Name a file in it.") from error
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        shown = f"{str(path)[:60]}..." if len(str(path)) > 80 else str(path)
        raise InputError(f"'{shown}' cannot be read: {reason}.", "Check the name and the permissions.") from error


def decode(data: bytes, what: str) -> str:
    """UTF-8 text (with or without mark), UTF-16 with its mark; anything else is refused, not guessed."""
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        place = f"byte {error.start}"
        raise InputError(f"{what} is not UTF-8 text ({place}).", "Save it as UTF-8 and try again.") from error
    if "\x00" in text:
        raise InputError(
            f"{what} holds binary data, not text.",
            "Give a dish (.md), a meal (.yaml) or a recipe (.json, .html).",
        )
    return text
