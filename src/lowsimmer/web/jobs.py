"""Long work behind a page: importing and restoring run in a thread of their own and can be watched and stopped.

The table lives in memory and is bounded: what was started is known until enough newer work has been started. What a
job has kept by then is kept in the store, whatever becomes of the table.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event, Lock, Thread
from typing import Generic, TypeVar

from lowsimmer.domain.errors import DomainError, InputError

MOST_JOBS = 16
MOST_HELD = 4
Held = TypeVar("Held")


@dataclass(slots=True)
class Job:
    """One piece of work: how far it is, whether it was asked to stop, and what it came to, in words.

    `stops` is False for work that is done as a whole or not at all.
    """

    title: str
    stops: bool = True
    done: int = 0
    whole: int = 0
    words: tuple[str, ...] = ()
    trouble: str = ""
    finished: bool = False
    halted: Event = field(default_factory=Event)

    def progress(self, done: int, whole: int) -> None:
        """Called by the work: so many of so many are done."""
        self.done, self.whole = done, whole

    def stop(self) -> None:
        """Ask the work to stop after the piece that it is at."""
        self.halted.set()


class Shelf(Generic[Held]):
    """A few things by a key that cannot be guessed; the oldest makes room for a new one."""

    def __init__(self, most: int = MOST_HELD) -> None:
        self._most = most
        self._held: OrderedDict[str, Held] = OrderedDict()
        self._lock = Lock()

    def put(self, thing: Held) -> str:
        """Hold a thing; the key to find it again."""
        key = secrets.token_urlsafe(12)
        with self._lock:
            self._held[key] = thing
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return key

    def get(self, key: str) -> Held:
        """The thing of a key. Raises InputError when it is no longer held."""
        with self._lock:
            if key not in self._held:
                raise InputError("This is no longer held in memory.", "Begin again under Keeping.")
            return self._held[key]

    def take(self, key: str) -> Held:
        """The thing of a key, which is held no longer: a form sent twice does its work once. Raises InputError."""
        with self._lock:
            if key not in self._held:
                raise InputError("This was done already, or is no longer held.", "Look under Keeping.")
            return self._held.pop(key)


class Jobs(Shelf[Job]):
    """The table of jobs."""

    def __init__(self) -> None:
        super().__init__(MOST_JOBS)

    def start(self, title: str, work: Callable[[Job], tuple[str, ...]], stops: bool = True) -> str:
        """Run work in a thread; it gets the job to report to and returns the result in words. The key of the job."""
        job = Job(title, stops)
        key = self.put(job)
        Thread(target=_run, args=(job, work), name=f"job {title}", daemon=True).start()
        return key


def _run(job: Job, work: Callable[[Job], tuple[str, ...]]) -> None:
    try:
        job.words = work(job)
    except DomainError as error:
        job.trouble = str(error)
    except Exception:
        job.trouble = "It stopped by a fault of the program. What was kept before stands; look at the check below."
        raise
    finally:
        job.finished = True
