"""The API under fire: everything that its description allows, and much that it does not.

Whatever is sent, no operation fails (5xx), and every answer is one that the description names, with exactly the keys
that stand there. Bodies and parameters that break the description are refused.
"""

from __future__ import annotations

import tempfile
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis import checks
from schemathesis.specs.openapi import checks as openapi

from lowsimmer.store.records import DocumentKind, Edit
from lowsimmer.store.store import open_store
from lowsimmer.web.api import make_api
from lowsimmer.web.pages.home import begin_with

STORE = open_store(f"{tempfile.mkdtemp()}/fuzz.sqlite")
begin_with(STORE, "demo")
SCHEMA = schemathesis.openapi.from_asgi("/openapi.json", make_api(STORE))
AS_DESCRIBED = [
    checks.not_a_server_error,
    openapi.status_code_conformance,
    openapi.content_type_conformance,
    openapi.response_schema_conformance,
]
KEPT = {"name": "salmon", "number": 1, "older": 1, "newer": 1, "food": "garlic", "form": "raw", "key": "muir2007"}
REPEATABLE = settings(derandomize=True, deadline=None, database=None, suppress_health_check=list(HealthCheck))


def as_at_first() -> None:
    """The dish and the plate of KEPT, with the texts that they began with: other calls put anything in their place."""
    for kind, name in ((DocumentKind.DISH, "salmon"), (DocumentKind.PLATE, "supper")):
        first, head = STORE.version(kind, name, 1), STORE.head(kind, name)
        STORE.edit(Edit(kind, name, head.number, first.text, "test"))


@SCHEMA.parametrize()
@settings(REPEATABLE, max_examples=8)
def test_no_operation_fails_and_every_answer_is_as_described(case: Any) -> None:
    case.validate_response(case.call(), checks=[*AS_DESCRIBED, openapi.negative_data_rejection])


@SCHEMA.include(path_regex="{").parametrize()
@settings(REPEATABLE, max_examples=4)
def test_the_same_where_there_is_something(case: Any) -> None:
    as_at_first()
    kept = KEPT | ({"name": "supper"} if case.path.startswith("/plates") else {})
    case.path_parameters = {name: kept.get(name, given) for name, given in case.path_parameters.items()}
    case.validate_response(case.call(), checks=AS_DESCRIBED)


class Calls(SCHEMA.as_state_machine()):  # type: ignore[misc]
    """Calls in a row, names and numbers of one answer taken into the next."""

    def validate_response(self, response: Any, case: Any, **_: Any) -> None:
        """As described, whatever was called before."""
        case.validate_response(response, checks=AS_DESCRIBED)


TestCalls = Calls.TestCase
TestCalls.settings = settings(REPEATABLE, max_examples=6, stateful_step_count=8)
