"""A bench that is killed in the middle of writing: whatever it had acknowledged is there."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import open_store

EDITS, ROUNDS = 200, 20
CHILD = """
import random, sys
from lowsimmer.store.records import DocumentKind, Edit
from lowsimmer.store.store import open_store
store, dice = open_store(sys.argv[1]), random.Random(int(sys.argv[2]))
for number in range(int(sys.argv[3])):
    kept = store.list(DocumentKind.DISH)
    deed = dice.choice(["create", "edit", "edit", "edit", "undo", "redo"]) if kept else "create"
    text = f"---\\ntitle: Dish {number}\\n---\\n## Ingredients\\n{dice.randrange(900)} g rice"
    if deed == "create":
        made = store.create(DocumentKind.DISH, f"dish {number}", text, "child")
    elif deed == "edit":
        one = dice.choice(kept)
        made = store.edit(Edit(DocumentKind.DISH, one.name, one.head, text, "child")).version
    else:
        one = dice.choice(kept)
        made = getattr(store, deed)(DocumentKind.DISH, one.name, "child") or store.head(DocumentKind.DISH, one.name)
    print(made.name, made.number, made.text.replace("\\n", "|"), sep="\\t", flush=True)
"""


def test_every_acknowledged_edit_survives_a_kill(tmp_path: Path) -> None:
    acknowledged: dict[tuple[str, int], str] = {}
    file = str(tmp_path / "a.sqlite")
    for seed in range(ROUNDS):
        words = [sys.executable, "-c", CHILD, file, str(seed), str(EDITS)]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            for _ in range(random.Random(seed).randrange(1, EDITS)):
                name, number, text = child.stdout.readline().rstrip("\n").split("\t")
                acknowledged[name, int(number)] = text.replace("|", "\n")
            child.kill()
        store = open_store(file)
        assert store.check() == []
        for (name, version), text in acknowledged.items():
            assert store.version(DocumentKind.DISH, name, version).text == text
        store.close()
    assert len(acknowledged) > ROUNDS
