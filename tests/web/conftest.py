"""A bench with the worked example, behind its guard, without a network."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from lowsimmer.store.store import Store, open_store
from lowsimmer.web.app import make_app
from lowsimmer.web.pages.home import begin_with
from lowsimmer.web.settings import Settings

OWN = "http://127.0.0.1:8424"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """The worked example."""
    made = open_store(str(tmp_path / "a.sqlite"))
    begin_with(made, "demo")
    yield made
    made.close()


@pytest.fixture
def client(store: Store) -> TestClient:
    """A browser of our own pages."""
    app = make_app(store, Settings(rate=1e6, burst=10**6))
    return TestClient(app, base_url=OWN, headers={"Origin": OWN}, raise_server_exceptions=False)
