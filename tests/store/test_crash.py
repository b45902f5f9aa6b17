"""A bench that is killed in the middle of writing: whatever it had acknowledged is there."""

from __future__ import annotations

import multiprocessing
import random
import tempfile
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path
from typing import NamedTuple

import pytest
from sqlalchemy import select

from lowsimmer.store import tables
from lowsimmer.store.records import DocumentKind, Edit
from lowsimmer.store.store import Store, open_store

EDITS, ROUNDS = 200, 20
MEMORY = Path("/dev/shm")
DISH = DocumentKind.DISH
DEEDS = ("create", "edit", "edit", "edit", "edit", "undo", "redo", "remove", "put_back")
# One process has the libraries loaded and is copied for each round: starting Python 20 times would be most of the test.
PROCESSES = multiprocessing.get_context("forkserver")


class Acknowledged(NamedTuple):
    """What the child says after a call returned: the newest version of a dish, and whether the dish is removed.

    The text is empty where this child has not seen it.
    """

    name: str
    number: int
    text: str
    removed: bool


def _standing(store: Store) -> dict[str, Acknowledged]:
    """What is kept when the child begins."""
    kept = {is_it: store.list(DISH, count=10_000, removed=is_it) for is_it in (False, True)}
    return {each.name: Acknowledged(each.name, each.head, "", is_it) for is_it in kept for each in kept[is_it]}


def _deed(store: Store, dice: random.Random, kept: dict[str, Acknowledged]) -> Acknowledged:
    """One thing that a practitioner does, and how the dish stands then."""
    deed, number = dice.choice(DEEDS) if kept else "create", dice.randrange(100)
    text = f"---\ntitle: Dish {number}\n---\n## Ingredients\n{number} g rice\n" + "Stir.\n" * number
    if deed == "create":
        made = store.create(DISH, f"dish {dice.randrange(3)}", text, "child")
        return Acknowledged(made.name, made.number, made.text, False)
    one = kept[dice.choice(sorted(kept))]
    if deed in {"remove", "put_back"}:
        getattr(store, deed)(DISH, one.name, "child")
        return one._replace(removed=deed == "remove")
    if deed == "edit":
        base = dice.randint(max(1, one.number - 2), one.number)
        head = store.edit(Edit(DISH, one.name, base, text, "child")).version
    else:
        head = getattr(store, deed)(DISH, one.name, "child") or store.head(DISH, one.name)
    return one._replace(number=head.number, text=head.text)


def work(file: str, seed: int, told: Connection) -> None:
    """What the child does until it is killed."""
    store, dice = open_store(file), random.Random(seed)
    kept = _standing(store)
    for _ in range(EDITS):
        done = _deed(store, dice, kept)
        kept[done.name] = done
        told.send(tuple(done))


def _heard(file: str, seed: int) -> list[Acknowledged]:
    """Everything that a child acknowledged before it was killed, at a moment that it does not know."""
    ear, mouth = PROCESSES.Pipe(duplex=False)
    child = PROCESSES.Process(target=work, args=(file, seed, mouth))
    child.start()
    mouth.close()
    dice = random.Random(seed)
    moment = min(dice.randint(1, EDITS), dice.randint(1, EDITS))  # early ones more often, for the sake of time
    heard = [Acknowledged(*ear.recv()) for _ in range(moment)]
    child.kill()
    child.join()
    try:
        while True:
            heard.append(Acknowledged(*ear.recv()))
    except EOFError:
        return heard
    finally:
        ear.close()
        child.close()


def _kept(store: Store) -> dict[tuple[str, int], str]:
    with store.engine.connect() as connection:
        return {(row.name, row.number): row.text for row in connection.execute(select(tables.version))}


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: what a killed process had written is there with and without a disk."""
    if not MEMORY.is_dir():
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=MEMORY) as name:
        yield Path(name)


def test_every_acknowledged_deed_survives_a_kill(folder: Path) -> None:
    PROCESSES.set_forkserver_preload([__name__])
    file, versions, removed = str(folder / "a.sqlite"), dict[tuple[str, int], str](), dict[str, bool]()
    open_store(file).close()
    for seed in range(ROUNDS):
        for each in _heard(file, seed):
            if each.text:
                versions[each.name, each.number] = each.text
            removed[each.name] = each.removed
        store = open_store(file)
        assert store.check() == []
        kept = _kept(store)
        assert {key: kept.get(key) for key in versions} == versions
        now = {each.name: is_it for is_it in (False, True) for each in store.list(DISH, count=10_000, removed=is_it)}
        assert removed.keys() <= now.keys()
        # At most the one deed that was under way may be kept without having been acknowledged.
        assert sum(now[name] != state for name, state in removed.items()) + len(now) - len(removed) <= 1
        removed = now
        store.close()
    assert len(versions) > 10 * ROUNDS
