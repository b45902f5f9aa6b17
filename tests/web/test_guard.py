"""The guard around a tiny application: every refusal, and the headers on every kind of answer."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import AsyncIterator, Iterator
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from lowsimmer.domain.errors import InputError
from lowsimmer.web.guard import guarded
from lowsimmer.web.guard.headers import POLICY, SAFE
from lowsimmer.web.guard.limits import BODY, CLIENTS, UPLOAD, RateLimit, client_of
from lowsimmer.web.settings import Settings

OWN = "http://127.0.0.1:8424"
CHANGE = {"Origin": OWN}
PAGE = {"Accept": "text/html"}
SECRET_WORDS = "the onion soup of Mrs Brown"


async def _count(request: Request) -> Response:
    total = 0
    async for piece in request.stream():
        total += len(piece)
    return PlainTextResponse(str(total))


async def _form(request: Request) -> Response:
    async with request.form() as form:
        return PlainTextResponse(str(len(form)))


async def _swallow(request: Request) -> Response:
    """As FastAPI does: whatever goes wrong with the body becomes an answer of its own."""
    try:
        await request.body()
    except Exception:
        return JSONResponse({"error": "There was an error parsing the body"}, 400)
    return PlainTextResponse("read")


def _look(request: Request) -> Response:
    request.session["look"] = "dark"
    return PlainTextResponse(str(request.url.replace(path="/")))


def _broken(_request: Request) -> Response:
    raise RuntimeError(SECRET_WORDS)


def _half(_request: Request) -> Response:
    async def pieces() -> AsyncIterator[bytes]:
        yield b"begun"
        raise RuntimeError(SECRET_WORDS)

    return StreamingResponse(pieces())


def tiny() -> Starlette:
    """Something of every kind that the bench has."""

    def hello(_request: Request) -> Response:
        return PlainTextResponse("hello")

    routes = [
        Route("/", hello),
        Route("/dishes/{name}", hello, methods=["GET", "POST", "PUT", "PATCH", "DELETE"]),
        Route("/count", _count, methods=["POST"]),
        Route("/keep/import", _count, methods=["POST"]),
        Route("/form", _form, methods=["POST"]),
        Route("/swallow", _swallow, methods=["POST"]),
        Route("/look", _look, methods=["POST"]),
        Route("/away", lambda _request: RedirectResponse("/", 303)),
        Route("/broken", _broken),
        Route("/half", _half),
        Route("/busy", lambda _request: PlainTextResponse("said so itself", 500)),
        Mount("/static", routes=[Route("/mark.svg", hello)]),
        Mount("/api/v1", routes=[Route("/dishes/{name}", hello), Route("/broken", _broken)]),
    ]
    return Starlette(routes=routes)


def browser(settings: Settings | None = None, base: str = OWN) -> TestClient:
    """A client of the tiny application behind its guard, that shows what a real server would have sent."""
    app = guarded(tiny(), settings or Settings())
    return TestClient(app, base_url=base, follow_redirects=False, raise_server_exceptions=False)


ANSWERS: dict[str, tuple[str, str, dict[str, str], int]] = {
    "page": ("GET", "/", {}, 200),
    "file": ("GET", "/static/mark.svg", {}, 200),
    "api": ("GET", "/api/v1/dishes/one", {}, 200),
    "redirect": ("GET", "/away", {}, 303),
    "not there": ("GET", "/nothing", {}, 404),
    "wrong method": ("DELETE", "/", CHANGE, 405),
    "mishap": ("GET", "/broken", PAGE, 500),
    "mishap of the api": ("GET", "/api/v1/broken", {}, 500),
    "foreign change": ("POST", "/dishes/one", {"Origin": "http://elsewhere.example"}, 403),
    "forged host": ("GET", "/", {"Host": "elsewhere.example:8424"}, 421),
    "too large": ("POST", "/count", {**CHANGE, "Content-Length": str(BODY + 1)}, 413),
}


@pytest.mark.parametrize(("method", "path", "headers", "status"), ANSWERS.values(), ids=ANSWERS)
def test_every_kind_of_answer_has_every_header(method: str, path: str, headers: dict[str, str], status: int) -> None:
    answer = browser().request(method, path, headers=headers)
    assert answer.status_code == status
    assert {name: answer.headers.get(name) for name in SAFE} == SAFE
    assert (answer.headers.get("cache-control") == "no-store") != path.startswith("/static/")


def test_the_policy_forbids_everything_but_our_own_files() -> None:
    allowed = {part.split()[0]: part.split()[1:] for part in POLICY.split("; ")}
    assert allowed["default-src"] == allowed["frame-ancestors"] == allowed["base-uri"] == ["'none'"]
    assert {word for words in allowed.values() for word in words} == {"'none'", "'self'"}


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 403), ({"Origin": OWN}, 200), ({"Sec-Fetch-Site": "same-origin"}, 200),
        ({"Sec-Fetch-Site": "same-origin", "Origin": OWN}, 200), ({"Origin": "null"}, 403),
        ({"Sec-Fetch-Site": "same-origin", "Origin": "http://elsewhere.example"}, 403),
        ({"Sec-Fetch-Site": "same-site", "Origin": OWN}, 403), ({"Sec-Fetch-Site": "cross-site", "Origin": OWN}, 403),
        ({"Sec-Fetch-Site": "none"}, 403), ({"Sec-Fetch-Site": ""}, 403), ({"Origin": ""}, 403),
        ({"Origin": "http://127.0.0.1:8425"}, 403), ({"Origin": "http://127.0.0.1"}, 403),
        ({"Origin": "https://127.0.0.1:8424"}, 403), ({"Origin": f"{OWN}.elsewhere.example"}, 403),
        ({"Origin": "http://localhost:8424"}, 403), ({"Referer": f"{OWN}/"}, 403),
    ],
)  # fmt: skip
def test_a_change_must_come_from_our_own_pages(method: str, headers: dict[str, str], status: int) -> None:
    assert browser().request(method, "/dishes/one", headers=headers).status_code == status


def test_two_origins_are_no_origin() -> None:
    twice = [("Origin", OWN), ("Origin", OWN)]
    assert browser().post("/dishes/one", headers=twice).status_code == 403


def test_a_script_is_told_which_header_to_send() -> None:
    answer = browser().post("/api/v1/dishes/one")
    assert (answer.status_code, f"'Origin: {OWN}'" in answer.json()["error"]) == (403, True)


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 200),
        ({"Sec-Fetch-Site": "none", "Sec-Fetch-Mode": "navigate"}, 200), ({}, 200),
        ({"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}, 403),
        ({"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "cors"}, 403),
    ],
)  # fmt: skip
def test_a_link_from_elsewhere_opens_a_page_but_no_page_takes_a_part(headers: dict[str, str], status: int) -> None:
    assert browser().get("/", headers=headers).status_code == status


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("127.0.0.1:8424", 200), ("localhost:8424", 200), ("LOCALHOST:8424", 200), ("[::1]:8424", 200),
        ("127.0.0.1", 421), ("127.0.0.1:80", 421), ("127.0.0.1:8424.elsewhere.example", 421), ("", 421),
        ("elsewhere.example", 421), ("elsewhere.example:8424", 421), ("localhost.:8424", 421),
        ("192.168.1.7:8424", 421),
    ],
)  # fmt: skip
def test_only_our_own_names_are_answered(host: str, status: int) -> None:
    assert browser().get("/", headers={"Host": host}).status_code == status


def test_the_host_is_looked_at_before_anything_else() -> None:
    answer = browser().post("/dishes/one", headers={"Host": "elsewhere.example:8424", "Origin": OWN})
    assert answer.status_code == 421


def test_further_names_are_answered_as_they_were_allowed() -> None:
    allowed = Settings(names=("kitchen.example", "shop.example:9000", "https://bench.example"))
    client = browser(allowed)
    hosts = ["kitchen.example:8424", "shop.example:9000", "bench.example"]
    assert [client.get("/", headers={"Host": host}).status_code for host in hosts] == [200, 200, 200]
    others = ["kitchen.example", "shop.example:8424", "bench.example:8424"]
    assert [client.get("/", headers={"Host": host}).status_code for host in others] == [421, 421, 421]
    own = {"Host": "bench.example", "Origin": "https://bench.example"}
    assert client.post("/look", headers=own).text == "https://bench.example/"
    assert client.post("/look", headers=own | {"Origin": "http://bench.example"}).status_code == 403


@pytest.mark.parametrize(
    "name", ["", "two words", "http://", "name/path", "name:port", "a,b", "*", "ftp://name", "ä.example"]
)
def test_what_is_no_host_name_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="is not a host name"):
        _ = Settings(names=(name,)).hosts


async def _sent(app: Any, scope: dict[str, Any], pieces: list[bytes]) -> list[dict[str, Any]]:
    sent: list[dict[str, Any]] = []
    waiting = [{"type": "http.request", "body": each, "more_body": True} for each in pieces]
    waiting.append({"type": "http.request", "body": b"", "more_body": False})

    async def receive() -> dict[str, Any]:
        return waiting.pop(0) if waiting else {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message)

    await app(scope, receive, send)
    return sent


def ask(app: Any, pieces: list[bytes] | None = None, **changed: Any) -> list[dict[str, Any]]:
    """One request as a server would hand it over; the messages that came back."""
    headers = [(b"host", b"127.0.0.1:8424"), (b"origin", OWN.encode())]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET", "path": "/",
        "raw_path": b"/", "query_string": b"", "root_path": "", "scheme": "http", "headers": headers,
        "client": ("127.0.0.1", 50000), "server": ("127.0.0.1", 8424),
    }  # fmt: skip
    return asyncio.run(_sent(app, scope | changed, pieces or []))


def test_two_host_headers_are_no_host() -> None:
    twice = [(b"host", b"127.0.0.1:8424"), (b"host", b"127.0.0.1:8424")]
    assert ask(guarded(tiny(), Settings()), headers=twice)[0]["status"] == 421
    assert ask(guarded(tiny(), Settings()), headers=[])[0]["status"] == 421


@pytest.mark.parametrize(
    ("host", "server", "status"),
    [
        ("192.168.1.7:8424", "192.168.1.7", 200), ("192.168.1.7:8424", "::ffff:192.168.1.7", 200),
        ("[fd00::7]:8424", "fd00::7", 200), ("192.168.1.8:8424", "192.168.1.7", 421),
        ("192.168.1.7", "192.168.1.7", 421),
        ("rebound.example:8424", "192.168.1.7", 421), ("0.0.0.0:8424", "192.168.1.7", 421),
    ],
)  # fmt: skip
def test_on_every_address_the_one_that_was_reached_is_a_name(host: str, server: str, status: int) -> None:
    app = guarded(tiny(), Settings(host="0.0.0.0"))
    assert ask(app, headers=[(b"host", host.encode())], server=(server, 8424))[0]["status"] == status


def test_no_websocket_is_opened() -> None:
    sent = ask(guarded(tiny(), Settings()), type="websocket")
    assert sent == [{"type": "websocket.close", "code": 1008}]


# Limits


def _pieces(total: int) -> Iterator[bytes]:
    piece = 256 * 1024
    yield from (b"x" * piece for _ in range(total // piece))
    yield b"x" * (total % piece)


@pytest.mark.parametrize("path", ["/count", "/swallow", "/form"])
def test_a_body_without_a_length_is_counted_as_it_comes(path: str) -> None:
    kind = {"Content-Type": "application/x-www-form-urlencoded"} if path == "/form" else {}
    over = browser().post(path, content=_pieces(BODY + 1), headers=CHANGE | kind)
    assert (over.status_code, over.text) == (413, "The request holds more than 1 MB.\n")
    assert browser().post(path, content=_pieces(BODY), headers=CHANGE | kind).status_code == 200


def test_the_application_never_sees_the_end_of_a_body_that_is_too_large() -> None:
    seen: list[int] = []

    async def keeping(_scope: Any, receive: Any, send: Any) -> None:
        more = True
        while more:
            message = await receive()
            seen.append(len(message["body"]))
            more = message["more_body"]
        seen.append(-1)  # as if it kept what came
        await PlainTextResponse("kept")(_scope, receive, send)

    sent = ask(guarded(keeping, Settings()), list(_pieces(BODY + 1)), method="POST")
    assert (sent[0]["status"], sum(seen)) == (413, BODY)
    assert -1 not in seen


def test_a_length_that_lies_helps_nobody() -> None:
    headers = [(b"host", b"127.0.0.1:8424"), (b"origin", OWN.encode()), (b"content-length", b"10")]
    sent = ask(guarded(tiny(), Settings()), list(_pieces(BODY + 1)), method="POST", path="/count", headers=headers)
    assert sent[0]["status"] == 413


@pytest.mark.parametrize("length", [str(BODY + 1), "9" * 400])
def test_a_length_over_the_limit_is_refused_before_it_is_read(length: str) -> None:
    headers = [(b"host", b"127.0.0.1:8424"), (b"origin", OWN.encode()), (b"content-length", length.encode())]
    sent = ask(guarded(tiny(), Settings()), method="POST", path="/count", headers=headers)
    assert sent[0]["status"] == 413


def test_uploads_may_be_larger_and_have_their_limit_too() -> None:
    client = browser()
    assert client.post("/keep/import", content=_pieces(2 * BODY), headers=CHANGE).text == str(2 * BODY)
    over = client.post("/keep/import", headers=CHANGE | {"Content-Length": str(UPLOAD + 1)})
    assert (over.status_code, over.text) == (413, "The request holds more than 64 MB.\n")


def test_a_foreign_upload_is_refused_without_being_read() -> None:
    read = []

    async def receive() -> dict[str, Any]:
        read.append(1)
        return {"type": "http.request", "body": b"x", "more_body": True}

    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {"type": "http", "method": "POST", "path": "/keep/import", "scheme": "http", "client": ("127.0.0.1", 1),
             "headers": [(b"host", b"127.0.0.1:8424"), (b"sec-fetch-site", b"cross-site")]}  # fmt: skip

    async def sending() -> None:
        await guarded(tiny(), Settings())(scope, receive, send)

    asyncio.run(sending())
    assert (sent[0]["status"], read) == (403, [])


class Clock:
    """Time that stands still until it is moved."""

    now = 0.0

    def __call__(self) -> float:
        """Now."""
        return self.now


def test_a_bucket_empties_and_fills_again() -> None:
    clock = Clock()
    limit = RateLimit(tiny(), rate=2, burst=3, clock=clock)
    assert [ask(limit)[0]["status"] for _ in range(5)] == [200, 200, 200, 429, 429]
    clock.now = 0.5
    assert [ask(limit)[0]["status"] for _ in range(2)] == [200, 429]
    clock.now = 1000
    assert [ask(limit)[0]["status"] for _ in range(4)] == [200, 200, 200, 429]
    other = ask(limit, client=("192.168.1.9", 1))
    assert other[0]["status"] == 200


def test_who_hurries_is_told_how_long_to_wait() -> None:
    limit = RateLimit(tiny(), rate=0.25, burst=1, clock=Clock())
    ask(limit)
    refused = ask(limit)
    assert (refused[0]["status"], dict(refused[0]["headers"])[b"retry-after"]) == (429, b"4")


def test_the_memory_of_clients_is_bounded() -> None:
    limit = RateLimit(tiny(), rate=1, burst=1)
    for number in range(CLIENTS + 50):
        limit._wait(str(number))
    assert len(limit.buckets) == CLIENTS


def test_a_network_of_ipv6_addresses_is_one_client() -> None:
    one, same, other = (client_of({"client": (each, 1)}) for each in ("fd00::1", "fd00::ffff:2", "fd00:0:0:1::1"))
    assert one == same != other


# Log and mishaps


def lines(caplog: pytest.LogCaptureFixture) -> list[str]:
    """What was logged, by anybody."""
    return [record.getMessage() for record in caplog.records if record.name != "httpx"]


@pytest.mark.parametrize(
    ("method", "path", "line"),
    [
        ("GET", "/dishes/mrs-brown?words=onion", "GET /dishes/{name} 200"), ("GET", "/mrs-brown/onion", "GET - 404"),
        ("GET", "/api/v1/dishes/mrs-brown", "GET /api/v1/dishes/{name} 200"), ("PUT", "/dishes/onion", "PUT - 403"),
        ("MRSBROWN", "/", "OTHER - 403"), ("GET", "/static/mark.svg", "GET /static/mark.svg 200"),
    ],
)  # fmt: skip
def test_the_log_holds_patterns_and_nothing_of_anybody(
    caplog: pytest.LogCaptureFixture, method: str, path: str, line: str
) -> None:
    caplog.set_level(logging.DEBUG, "lowsimmer")
    browser().request(method, path, headers={"User-Agent": "brown", "Cookie": "bench=onion"})
    (logged,) = lines(caplog)
    assert logged.rsplit(" ", 2)[0] == line
    assert logged.endswith(" ms")
    assert not any(word in logged.lower() for word in ("brown", "onion", "127.0.0.1", "testclient"))


@pytest.mark.parametrize("path", ["/broken", "/api/v1/broken"])
def test_a_mishap_says_nothing_to_the_client_and_its_place_to_the_log(
    caplog: pytest.LogCaptureFixture, path: str
) -> None:
    caplog.set_level(logging.DEBUG, "lowsimmer")
    answer = browser().get(path, headers=PAGE)
    assert answer.status_code == 500
    assert not any(word in answer.text for word in ("RuntimeError", "onion", "Traceback", ".py"))
    error, line = lines(caplog)
    assert error.startswith("RuntimeError at ")
    assert "test_guard.py:" in error
    assert "onion" not in error + line
    assert line.startswith(f"GET {path} 500 ")


def test_a_mishap_is_json_for_the_api_and_a_page_for_people() -> None:
    assert json.loads(browser().get("/api/v1/broken").text).keys() == {"error", "next_step"}
    page = browser().get("/broken", headers=PAGE)
    assert "<h1>Something went wrong</h1>" in page.text
    assert ("style=" in page.text, "<script" in page.text) == (False, False)


def test_an_error_half_way_is_logged_and_not_explained(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG, "lowsimmer")
    sent = ask(guarded(tiny(), Settings()), path="/half")
    assert b"".join(each.get("body", b"") for each in sent) == b"begun"
    assert lines(caplog)[0].startswith("RuntimeError at ")


def test_a_500_that_the_application_meant_is_sent_as_it_is() -> None:
    assert browser().get("/busy").text == "said so itself"


def test_a_refusal_shows_hostile_words_as_words() -> None:
    app = guarded(tiny(), Settings())
    hostile = [(b"host", b"127.0.0.1:8424"), (b"origin", b"<script>alert(1)</script>"), (b"accept", b"text/html")]
    sent = ask(app, method="POST", path="/dishes/one", headers=hostile)
    assert sent[0]["status"] == 403
    assert b"<script" not in sent[1]["body"]
