"""Undo, redo, removing and putting back against a plain model: two piles of texts."""

from __future__ import annotations

import shutil
import tempfile
from functools import cache
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from lowsimmer.store.merge import merge
from lowsimmer.store.records import DocumentKind, Edit, Version
from lowsimmer.store.store import open_store

DISH, NAME = DocumentKind.DISH, "stew"
TEXTS = st.lists(st.sampled_from("abcde"), min_size=1, max_size=4).map("\n".join)
WRITERS = st.sampled_from(["one", "two"])
HOWS = st.sampled_from(["typed", "pasted"])


@cache
def _new() -> bytes:
    """A store in which nothing is kept yet, as the bytes of its file."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "new.sqlite"
        open_store(str(path)).close()
        return path.read_bytes()


class Walking(RuleBasedStateMachine):
    """`done` holds the text after each step, the newest last; `undone` what a redo would bring back."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        (self.folder / "a.sqlite").write_bytes(_new())
        self.store = open_store(str(self.folder / "a.sqlite"))
        self.done: list[str] = []
        self.undone: list[str] = []
        self.ever: dict[int, str] = {}
        self.typing = ""  # who typed last, where the next letters of the same writer belong to the same step
        self.removed = False

    def _remember(self, *versions: Version) -> None:
        self.ever |= {each.number: each.text for each in versions}

    @initialize(text=TEXTS, writer=WRITERS)
    def begin(self, text: str, writer: str) -> None:
        self._remember(self.store.create(DISH, NAME, text, writer))
        self.done = [text]

    @rule(text=TEXTS, writer=WRITERS, how=HOWS)
    def edit(self, text: str, writer: str, how: str) -> None:
        head = self.store.get(DISH, NAME).head
        saved = self.store.edit(Edit(DISH, NAME, head, text, writer, how))
        assert (saved.merged, saved.version.text) == (False, text)
        if text == self.done[-1]:
            assert saved.version.number == head
            return
        self._remember(saved.version)
        self.undone = []
        if how == "typed" and writer == self.typing:
            self.done[-1] = text
        else:
            self.done.append(text)
        self.typing = writer if how == "typed" else ""

    @rule(text=TEXTS, back=st.integers(1, 3), writer=WRITERS)
    def edit_an_older_text(self, text: str, back: int, writer: str) -> None:
        head = self.store.get(DISH, NAME).head
        base = max(1, head - back)
        was = self.ever[base]
        saved = self.store.edit(Edit(DISH, NAME, base, text, writer, "pasted"))
        assert self.store.version(DISH, NAME, saved.mine).text == text
        assert saved.version.text == merge(was, self.done[-1], text).text
        if saved.version.number == head:
            return
        self._remember(self.store.version(DISH, NAME, saved.mine), saved.version)
        self.done.append(saved.version.text)
        self.undone, self.typing = [], ""

    @rule(writer=WRITERS)
    def undo(self, writer: str) -> None:
        found = self.store.undo(DISH, NAME, writer)
        assert (found is None) == (len(self.done) == 1)
        if found:
            self._remember(found)
            self.undone.append(self.done.pop())
            self.typing = ""

    @rule(writer=WRITERS)
    def redo(self, writer: str) -> None:
        found = self.store.redo(DISH, NAME, writer)
        assert (found is None) == (not self.undone)
        if found:
            self._remember(found)
            self.done.append(self.undone.pop())
            self.typing = ""

    @rule()
    def remove(self) -> None:
        self.store.remove(DISH, NAME, "one")
        self.removed = True

    @precondition(lambda self: self.removed)
    @rule()
    def put_back(self) -> None:
        self.store.put_back(DISH, NAME, "one")
        self.removed = False

    @invariant()
    def the_newest_text_is_on_top(self) -> None:
        if self.done:
            assert self.store.head(DISH, NAME).text == self.done[-1]
            assert self.store.count(DISH, removed=self.removed) == 1

    def teardown(self) -> None:
        """Every text ever kept is there; all the way back is the first text, all the way forward the last."""
        if self.done:
            assert {each.number: each.text for each in self.store.history(DISH, NAME)} == self.ever
            assert self.store.check() == []
            first, last = self.done[0], [*self.done, *self.undone[::-1]][-1]
            while self.store.undo(DISH, NAME, "end"):
                pass
            assert self.store.head(DISH, NAME).text == first
            while self.store.redo(DISH, NAME, "end"):
                pass
            assert self.store.head(DISH, NAME).text == last
        self.store.close()
        shutil.rmtree(self.folder)


Walking.TestCase.settings = settings(max_examples=20, stateful_step_count=20)
TestWalking = Walking.TestCase
