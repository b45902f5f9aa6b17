"""The files of a folder or a zip, with limits: how many, how large, and no path that leads out of it.

Sizes that a zip claims are not believed: of each file no more is unpacked than is allowed.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path, PurePosixPath

from lowsimmer.domain.errors import InputError
from lowsimmer.store.records import DocumentKind

MOST_FILES = 2000
MOST_BYTES = 4 * 1024 * 1024
MOST_TOGETHER = 64 * 1024 * 1024
KINDS = {
    ".md": DocumentKind.DISH, ".json": DocumentKind.DISH, ".jsonld": DocumentKind.DISH, ".html": DocumentKind.DISH,
    ".htm": DocumentKind.DISH, ".yaml": DocumentKind.PLATE, ".yml": DocumentKind.PLATE, ".csv": DocumentKind.FIGURES,
}  # fmt: skip
_PLAIN_PACKING = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}  # unpacked piece by piece, so no more than is allowed
_BROKEN = (
    zipfile.BadZipFile, zlib.error, ValueError, OSError, EOFError, RuntimeError, LookupError,
)  # fmt: skip


def files_of(given: Path | bytes) -> list[tuple[str, bytes]]:
    """The files of a folder, of a zip, or one file by itself. Raises InputError for what is too much or is no zip."""
    if isinstance(given, bytes):
        return _unzipped(given)
    try:
        if given.is_dir():
            return _within((path.relative_to(given).as_posix(), partial(_start_of, path)) for path in _walk(given))
        if given.suffix.lower() in KINDS:
            return _within([(given.name, partial(_start_of, given))])
        data = _start_of(given, MOST_TOGETHER)
    except OSError as error:
        raise InputError(f"'{given}' cannot be read: {(error.strerror or '').lower()}.", "Check the name.") from error
    return _unzipped(data) if data.startswith(b"PK") else _within([(given.name, lambda _most: data)])


def _start_of(path: Path, most: int) -> bytes:
    """One byte more than is allowed shows that there is more."""
    with path.open("rb") as file:
        return file.read(most + 1)


def _walk(folder: Path) -> list[Path]:
    """The usable files below a folder; links and hidden files are passed over."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink())
    return [path for path in found if path.suffix.lower() in KINDS and not _hidden(path.relative_to(folder).parts)]


def _hidden(parts: Iterable[str]) -> bool:
    return any(part.startswith(".") or part == "__MACOSX" for part in parts)


def _unzipped(data: bytes) -> list[tuple[str, bytes]]:
    if len(data) > MOST_TOGETHER:
        raise _too_much("the zip file itself")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            inside = [each for each in packed.infolist() if not each.is_dir()]
            if len(inside) > MOST_FILES:
                raise _too_much(inside[MOST_FILES].filename)
            if sum(each.file_size for each in inside) > MOST_TOGETHER:
                raise _too_much("all of it unpacked")
            shown = [each for each in inside if not _hidden(_path(each).parts)]
            return _within((each.filename, partial(_unpacked, packed, each)) for each in shown)
    except InputError:
        raise
    except _BROKEN as error:
        raise InputError("The zip file is damaged or packed in an unusual way.", "Pack it again.") from error


def _path(each: zipfile.ZipInfo) -> PurePosixPath:
    """The path of a file in a zip. Raises InputError for one that leads out of it."""
    path = PurePosixPath(each.filename)
    odd = any(sign in each.orig_filename for sign in ("\\", "\x00")) or str(path)[1:2] == ":"
    if odd or not path.parts or path.is_absolute() or ".." in path.parts:
        raise InputError(f"The zip file holds a file that leads out of it ('{each.filename[:60]}').", "Pack it again.")
    return path


def _unpacked(packed: zipfile.ZipFile, each: zipfile.ZipInfo, most: int) -> bytes:
    """The bytes of a file in a zip, and one more than allowed at most, whatever the zip says of its size."""
    if each.compress_type not in _PLAIN_PACKING:
        raise ValueError(each.compress_type)
    with packed.open(each) as file:
        return file.read(most + 1)


def _within(files: Iterable[tuple[str, Callable[[int], bytes]]]) -> list[tuple[str, bytes]]:
    """The files, as long as they keep to the limits; of none more is read than is allowed."""
    found: list[tuple[str, bytes]] = []
    together = 0
    for name, read in files:
        data = read(MOST_BYTES)
        together += len(data)
        if len(found) >= MOST_FILES or together > MOST_TOGETHER or len(data) > MOST_BYTES:
            raise _too_much(name)
        found.append((name, data))
    return found


def _too_much(where: str) -> InputError:
    most = f"{MOST_FILES} files, {MOST_BYTES >> 20} MB each, {MOST_TOGETHER >> 20} MB together"
    return InputError(f"That is too much at once (at '{where[:60]}').", f"At most {most}.")
