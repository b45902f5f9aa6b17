"""The API in words: every operation with what it takes and answers, read from the description that scripts read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lowsimmer.store.store import Store
from lowsimmer.web.api import PREFIX, make_api
from lowsimmer.web.pages.common import bench, render

Schema = dict[str, Any]
_KINDS = {"string": "text", "integer": "whole number", "number": "number", "boolean": "true or false"}
_CALLED = re.compile(r"[A-Z][a-z]+")


@dataclass(frozen=True, slots=True)
class Words:
    """What a field holds, in words; `record` is the record that it is made of, '' for plain values."""

    text: str
    record: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One parameter of an address, one field of a body or one key of an answer."""

    name: str
    place: str
    holds: Words
    needed: bool
    default: str
    words: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One call: method and address, what it does, what it takes, what it answers."""

    id: str
    method: str
    address: str
    words: str
    takes: tuple[Field, ...]
    status: str
    answers: Words


@dataclass(frozen=True, slots=True)
class RecordView:
    """One record that answers are made of."""

    name: str
    called: str
    words: str
    keys: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class Described:
    """The whole description, ready for the page."""

    rooms: dict[str, list[Operation]]
    records: list[RecordView]
    refusals: list[tuple[str, str]]


def called(name: str) -> str:
    """The name of a record as words: `LoadRecord` is 'load record'."""
    return " ".join(_CALLED.findall(name)).lower()


def holds(schema: Schema) -> Words:
    """What a schema lets through, in words."""
    if "$ref" in schema:
        name = schema["$ref"].rsplit("/", 1)[1]
        return Words(called(name), name)
    if "anyOf" in schema:
        return _either(schema["anyOf"])
    if schema.get("type") in {"array", "object"}:
        return _many(schema)
    return Words(_plain(schema))


def _either(schemas: list[Schema]) -> Words:
    parts = [Words("null") if each.get("type") == "null" else holds(each) for each in schemas]
    return Words(" or ".join(each.text for each in parts), next((each.record for each in parts if each.record), ""))


def _many(schema: Schema) -> Words:
    if schema["type"] == "array":
        inner = holds(schema["items"])
        return Words(f"list of {inner.text}{_limit(schema, 'minItems', 'maxItems', 'items')}", inner.record)
    inner = holds(schema.get("additionalProperties", {}))
    return Words(f"{inner.text} by key", inner.record)


def _plain(schema: Schema) -> str:
    if "enum" in schema:
        return f"one of {', '.join(str(each) or 'nothing' for each in schema['enum'])}"
    return _KINDS.get(schema.get("type", ""), "anything") + _bounds(schema)


def _limit(schema: Schema, low: str, high: str, unit: str) -> str:
    least, most = schema.get(low), schema.get(high)
    words = [f"at least {least}"] if least else []
    words += [f"at most {most} {unit}"] if most is not None else []
    return f", {' and '.join(words)}" if words else ""


def _bounds(schema: Schema) -> str:
    """Limits of a text or a number."""
    low, above = schema.get("minimum"), schema.get("exclusiveMinimum")
    high, below = schema.get("maximum"), schema.get("exclusiveMaximum")
    words = [f"from {low:g}"] if low is not None else [f"more than {above:g}"] if above is not None else []
    words += [f"up to {high:.10g}"] if high is not None else [f"below {below:.10g}"] if below is not None else []
    return (f", {' and '.join(words)}" if words else "") + _limit(schema, "minLength", "maxLength", "characters")


def _parameter(given: Schema) -> Field:
    schema = given["schema"]
    place = {"path": "in the address", "query": "behind the ?"}[given["in"]]
    words = given.get("description", "")
    return Field(given["name"], place, holds(schema), given.get("required", False), _default(schema), words)


def _default(schema: Schema) -> str:
    default = schema.get("default")
    if isinstance(default, bool):
        return str(default).lower()
    return "" if default in (None, "", []) else f"{default:g}" if isinstance(default, float) else str(default)


def _keys(schema: Schema, place: str = "") -> tuple[Field, ...]:
    needed = schema.get("required", ())
    return tuple(
        Field(name, place, holds(each), name in needed, _default(each), each.get("description", ""))
        for name, each in schema.get("properties", {}).items()
    )


def _body(given: Schema, schemas: dict[str, Schema]) -> tuple[Field, ...]:
    """The fields of the body of an operation; none where it has no body."""
    if "requestBody" not in given:
        return ()
    schema = given["requestBody"]["content"]["application/json"]["schema"]
    return _keys(schemas[holds(schema).record], "in the body")


def _operation(path: str, method: str, given: Schema, schemas: dict[str, Schema]) -> Operation:
    takes = (*(_parameter(each) for each in given.get("parameters", ())), *_body(given, schemas))
    status = next(code for code in given["responses"] if code.startswith("2"))
    answers = holds(given["responses"][status]["content"]["application/json"]["schema"])
    return Operation(given["operationId"], method.upper(), PREFIX + path, _told(given), takes, status, answers)


def _told(given: Schema) -> str:
    """What is said of an operation or a record, on one line and without marks of code."""
    return " ".join(given.get("description", "").replace("`", "'").split())


def _reached(schemas: dict[str, Schema], names: list[str]) -> Iterator[str]:
    """The records that answers are made of, those of the answers first, each once."""
    seen: set[str] = set()
    while names:
        name = names.pop(0)
        if name and name not in seen:
            seen.add(name)
            yield name
            names += [field.holds.record for field in _keys(schemas[name])]


def described(document: Schema) -> Described:
    """An OpenAPI description as the page shows it."""
    schemas: dict[str, Schema] = document["components"]["schemas"]
    rooms: dict[str, list[Operation]] = {}
    refusals: dict[str, str] = {}
    for path, methods in document["paths"].items():
        for method, given in methods.items():
            rooms.setdefault(given["tags"][0], []).append(_operation(path, method, given, schemas))
            refusals |= {code: each["description"] for code, each in given["responses"].items() if code[0] != "2"}
    answers = [each.answers.record for operations in rooms.values() for each in operations]
    records = [
        RecordView(name, called(name), _told(schemas[name]), _keys(schemas[name]))
        for name in _reached(schemas, [*answers, "Trouble"])
    ]
    return Described(rooms, records, sorted(refusals.items()))


@cache
def _of(store: Store) -> Described:
    return described(make_api(store).openapi())


def show(request: Request) -> Response:
    """The page."""
    return render(request, "api.html", api=_of(bench(request).store), prefix=PREFIX)


routes = [Route("/api", show)]
