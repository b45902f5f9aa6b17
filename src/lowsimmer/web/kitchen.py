"""Kept dishes and plates opened and assessed, with the workspace's own figures in use.

A few hundred assessments are remembered by the texts that went into them: the same dish is asked for again with every
page, plate and comparison.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import replace
from pathlib import PurePosixPath
from threading import Lock

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.report import Report, report
from lowsimmer.reading.dish import read_dish
from lowsimmer.reading.meal import read_meal
from lowsimmer.reference.own import OwnFigures, read_own, using
from lowsimmer.store.records import DocumentKind, NotKept
from lowsimmer.store.store import Store

FIGURES = "own-figures"
KEPT = 256


class _Memory:
    """The last results by what they were made of."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Report] = OrderedDict()
        self._lock = Lock()

    def get(self, key: str) -> Report | None:
        """The result of a key; None when it was not made or is forgotten."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: str, made: Report) -> None:
        """Remember a result; the oldest makes room."""
        with self._lock:
            self._kept[key] = made
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)


_MEMORY = _Memory()
_FIGURES: dict[str, OwnFigures | None] = {"": None}


def kept_figures(store: Store) -> OwnFigures | None:
    """The practitioner's own figures that are in use in this workspace; None when there are none."""
    try:
        text = store.head(DocumentKind.FIGURES, FIGURES).text
    except NotKept:
        return None
    if text not in _FIGURES:
        made = read_own(text, f"{FIGURES}.csv") if text.strip() else None
        _FIGURES.clear()
        _FIGURES[text] = made
    return _FIGURES[text]


def open_kept_dish(store: Store, name: str) -> Dish:
    """A kept dish as it stands now. Raises NotKept, and InputError for one that is not yet whole."""
    return read_dish(store.head(DocumentKind.DISH, name).text, f"The dish '{name}'")


def open_kept_plate(store: Store, text: str, name: str) -> Plate:
    """A plate from its text, its dishes taken from the store. Raises InputError for what cannot be used."""
    return read_meal(text, PurePosixPath(f"{name}.yaml"), lambda file: open_kept_dish(store, PurePosixPath(file).stem))


def read_kept(store: Store, kind: DocumentKind, text: str) -> Dish | Plate:
    """Any version of a dish or plate, read. Raises InputError for what cannot be used."""
    if kind is DocumentKind.DISH:
        return read_dish(text, "The dish")
    return open_kept_plate(store, text, "plate")


def assessed(store: Store, given: Dish | Plate, profile: str = "restriction", servings: float = 1.0) -> Report:
    """A dish (so many servings of it) or a plate assessed, own figures in use. Raises InputError."""
    if not isinstance(given, Dish) and servings != 1.0:
        raise InputError("A plate is judged as it is.", "Change its portions.")
    figures = kept_figures(store)
    key = f"{given!r}|{profile}|{servings:.4f}|{hash(figures and figures.rows)}"
    found = _MEMORY.get(key)
    if found is None:
        with using(figures):
            found = _made(given, profile, servings)
        _MEMORY.put(key, found)
    return found


def _made(given: Dish | Plate, profile: str, servings: float) -> Report:
    if isinstance(given, Dish) and servings != 1.0:
        plate = Plate(given.title, (Portion(given, servings, f"{servings:g} servings"),), given.findings)
        one, more = report(given, profile), report(plate, profile)
        return replace(more, phases=one.phases)
    return report(given, profile)
