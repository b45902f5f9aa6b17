"""A bench of its own for browser tests, screenshots and the load benchmark: a real server process on this machine."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

PATIENCE = 60.0  # seconds until a server must answer
UNLIMITED = 100_000  # requests a second, so that one machine may play many clients


def free_port() -> int:
    """A port on the loopback address that nothing listens on at this moment."""
    with socket.socket() as made:
        made.bind(("127.0.0.1", 0))
        return int(made.getsockname()[1])


@contextmanager
def running_bench(folder: Path, *options: str) -> Iterator[str]:
    """A server on a store in `folder`; gives its address without a slash at the end, and stops it afterwards.

    `options` are further words for `lowsimmer serve`, such as --demo. Its secrets and its log lie in `folder` too.
    """
    port, log = free_port(), folder / "server.log"
    words = ["serve", "--port", str(port), "--store", str(folder / "bench.sqlite"), "--rate", str(UNLIMITED), *options]
    with log.open("ab") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "lowsimmer", *words],
            env=os.environ | {"XDG_DATA_HOME": str(folder)}, stdin=subprocess.DEVNULL, stdout=out, stderr=out,
        )  # fmt: skip
    try:
        _await(process, f"http://127.0.0.1:{port}", log)
        yield f"http://127.0.0.1:{port}"
    finally:
        _stop(process)


def _await(process: subprocess.Popen[bytes], address: str, log: Path) -> None:
    """Wait until the server answers; says what it wrote when it does not."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and process.poll() is None:
        try:
            urlopen(f"{address}/static/mark.svg", timeout=5).close()
            return
        except OSError:
            time.sleep(0.05)
    raise RuntimeError(f"The server did not start. It wrote: {log.read_text(encoding='utf-8')[-2000:]}")


def _stop(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(10)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
