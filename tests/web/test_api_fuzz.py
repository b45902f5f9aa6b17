"""Every operation of the API, with anything that its description allows and much that it does not: never a 5xx."""

from __future__ import annotations

import tempfile
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings

from lowsimmer.store.store import open_store
from lowsimmer.web.api import make_api
from lowsimmer.web.pages.home import begin_with

STORE = open_store(f"{tempfile.mkdtemp()}/fuzz.sqlite")
begin_with(STORE, "demo")
SCHEMA = schemathesis.openapi.from_asgi("/openapi.json", make_api(STORE))


@SCHEMA.parametrize()
@settings(max_examples=25, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_operation_fails(case: Any) -> None:
    answer = case.call()
    assert answer.status_code < 500
    assert answer.headers["content-type"][0].startswith("application/json")
