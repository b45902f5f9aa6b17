"""Versions as steps: what reads as one change, what an undo goes back to, what a redo brings back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta

from lowsimmer.store.records import Step, Version

ONE_STEP = timedelta(seconds=60)


def steps_of(newest_first: Sequence[Version]) -> list[Step]:
    """The versions as steps, the newest first."""
    steps: list[Step] = []
    for version in newest_first:
        if steps and _goes_on(version, steps[-1].first):
            steps[-1] = Step(version, steps[-1].last)
        else:
            steps.append(Step(version, version))
    return steps


def _goes_on(earlier: Version, later: Version) -> bool:
    """True when two versions read as one change; what a document began with stands for itself."""
    typed = (
        earlier.base
        and earlier.how == later.how == "typed"
        and earlier.writer == later.writer
        and later.base == earlier.number
    )
    return bool(typed) and later.at - earlier.at < ONE_STEP


def before(numbered: Mapping[int, Version], head: int) -> int | None:
    """The version that stood before the step of the newest one; None at the beginning."""
    now = numbered[numbered[head].stands_for]
    while now.base and _goes_on(numbered[now.base], now):
        now = numbered[now.base]
    return numbered[now.base].stands_for if now.base else None


def after(numbered: Mapping[int, Version], head: int) -> int | None:
    """The version that the last undo took away; None when something else was done since.

    Undos and redos at the end of the history are counted back: each undo opens a way forward, each redo uses one.
    """
    closed, at = 0, numbered[head]
    while at.how in {"undone", "redone"} and at.base:
        if at.how == "redone":
            closed += 1
        elif closed:
            closed -= 1
        else:
            return numbered[at.base].stands_for
        at = numbered[at.base]
    return None
