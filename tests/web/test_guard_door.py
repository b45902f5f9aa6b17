"""The door: who may pass with a password set, how often one may try, and the cookie that is given."""

from __future__ import annotations

import re
from http.cookies import SimpleCookie

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from lowsimmer.web.guard import guarded
from lowsimmer.web.guard.sign_in import A_MINUTE, ALTOGETHER, ATTEMPTS, Attempts, fits, hashed
from lowsimmer.web.pages import sign_in
from lowsimmer.web.settings import Settings

OWN = "http://127.0.0.1:8424"
PASSWORD = "rye bread and dill"
HASH = hashed(PASSWORD)
PAGE = {"Accept": "text/html,*/*"}


def _page(_request: Request) -> Response:
    return PlainTextResponse("inside")


def _look(request: Request) -> Response:
    request.session["look"] = "dark"
    return PlainTextResponse("kept")


def tiny() -> Starlette:
    """Pages to get at, and the real page for signing in."""
    inside = [
        Route("/", _page), Route("/dishes/one", _page, methods=["GET", "POST"]), Route("/sign-in-not", _page),
        Route("/look", _look, methods=["POST"]), Mount("/api/v1", routes=[Route("/dishes", _page)]),
        Mount("/static", routes=[Route("/mark.svg", _page)]),
    ]  # fmt: skip
    return Starlette(routes=[*inside, *sign_in.routes])


def browser(app: object = None, **settings: object) -> TestClient:
    """A browser in front of a locked bench."""
    made = app or guarded(tiny(), Settings(password_hash=HASH, **settings))  # type: ignore[arg-type]
    return TestClient(made, base_url=OWN, headers={"Origin": OWN}, follow_redirects=False)  # type: ignore[arg-type]


def enter(client: TestClient, password: str = PASSWORD) -> int:
    """Send the form; the status that came back."""
    return int(client.post("/sign-in", data={"password": password}).status_code)


def test_a_hash_is_argon2_and_fits_its_password_only() -> None:
    assert HASH.startswith("$argon2id$")
    assert hashed(PASSWORD) != HASH
    assert [fits(each, HASH) for each in (PASSWORD, PASSWORD + " ", "", PASSWORD.upper())] == [
        True,
        False,
        False,
        False,
    ]
    assert not fits(PASSWORD, "no hash at all")


@pytest.mark.parametrize(
    ("method", "path", "headers", "status"),
    [
        ("GET", "/", PAGE, 303), ("GET", "/dishes/one", PAGE, 303), ("GET", "/sign-in-not", PAGE, 303),
        ("GET", "/", {}, 401),
        ("GET", "/api/v1/dishes", PAGE, 401), ("POST", "/dishes/one", PAGE, 401), ("POST", "/sign-out", PAGE, 401),
        ("GET", "/", PAGE | {"HX-Request": "true"}, 401), ("GET", "/static/mark.svg", {}, 200),
        ("GET", "/sign-in", PAGE, 200),
        ("GET", "/static/../dishes/one", PAGE, 303), ("GET", "/dishes/one", {"Cookie": "bench=forged"}, 401),
    ],
)  # fmt: skip
def test_strangers_get_the_door_and_its_files_only(
    method: str, path: str, headers: dict[str, str], status: int
) -> None:
    answer = browser().request(method, path, headers=headers)
    assert answer.status_code == status
    assert answer.headers.get("location", "/sign-in") == "/sign-in"


def test_a_cookie_signed_elsewhere_opens_nothing() -> None:
    theirs = browser(secret="another")
    assert enter(theirs) == 303
    ours = browser()
    ours.cookies = theirs.cookies
    assert ours.get("/").status_code == 401


def test_the_password_opens_the_door_and_signing_out_shuts_it_on_every_copy() -> None:
    app = guarded(tiny(), Settings(password_hash=HASH))
    client = browser(app)
    assert (enter(client, "wrong password"), client.get("/").status_code) == (403, 401)
    assert (enter(client), client.get("/").text, client.get("/api/v1/dishes").text) == (303, "inside", "inside")
    copied = browser(app)
    copied.cookies.set("bench", client.cookies["bench"])
    assert copied.get("/").status_code == 200
    assert client.post("/sign-out").headers["location"] == "/sign-in"
    assert (client.get("/").status_code, copied.get("/").status_code) == (401, 401)


def test_signing_in_again_makes_a_new_key_and_ends_the_old_one() -> None:
    app = guarded(tiny(), Settings(password_hash=HASH))
    client, old = browser(app), browser(app)
    enter(client)
    before = client.cookies["bench"]
    old.cookies.set("bench", before)
    enter(client)
    assert client.cookies["bench"] != before
    assert (client.get("/").status_code, old.get("/").status_code) == (200, 401)


def test_the_look_outlives_signing_in_and_out() -> None:
    client = browser()
    enter(client)
    client.post("/look")
    cookie = client.cookies["bench"]
    client.post("/sign-out")
    assert client.cookies["bench"] != cookie


def test_the_cookie_is_for_this_server_alone() -> None:
    given = browser().post("/sign-in", data={"password": PASSWORD}).headers["set-cookie"]
    flags = {part.strip().lower() for part in given.split(";")}
    assert {"httponly", "samesite=strict", "path=/"} <= flags
    assert "secure" not in flags
    assert not any(part.startswith("domain") for part in flags)
    assert list(SimpleCookie(given)) == ["bench"]
    assert PASSWORD not in given


def test_behind_https_the_cookie_travels_by_https_only() -> None:
    client = browser(names=("https://bench.example",))
    own = {"Host": "bench.example", "Origin": "https://bench.example"}
    given = client.post("/sign-in", data={"password": PASSWORD}, headers=own).headers["set-cookie"]
    assert "secure" in {part.strip().lower() for part in given.split(";")}


def test_no_cookie_is_given_to_who_only_looks() -> None:
    assert "set-cookie" not in browser().get("/sign-in").headers
    assert "set-cookie" not in browser().post("/sign-in", data={"password": "wrong password"}).headers


def test_the_sixth_attempt_of_a_minute_is_not_looked_at() -> None:
    client = browser()
    assert [enter(client, f"wrong {number}") for number in range(ATTEMPTS)] == [403] * 5
    refused = client.post("/sign-in", data={"password": PASSWORD})
    assert refused.status_code == 429
    assert 1 <= int(refused.headers["retry-after"]) <= A_MINUTE
    assert re.search(r"wait \d+ seconds", refused.text)
    assert client.get("/").status_code == 401


def test_who_knows_the_password_begins_anew() -> None:
    client = browser()
    for _ in range(3):
        assert [enter(client, "wrong password"), enter(client)] == [403, 303]


@pytest.mark.parametrize("form", [{}, {"password": ""}, {"password": "x" * 5000}, {"other": PASSWORD}])
def test_a_form_without_the_password_is_refused(form: dict[str, str]) -> None:
    assert browser().post("/sign-in", data=form).status_code == 403


def test_a_file_in_place_of_the_password_is_refused() -> None:
    assert browser().post("/sign-in", files={"password": ("a.txt", PASSWORD.encode())}).status_code == 403


def test_without_a_password_there_is_no_door() -> None:
    client = TestClient(guarded(tiny(), Settings()), base_url=OWN, headers={"Origin": OWN}, follow_redirects=False)
    assert client.get("/").text == "inside"
    assert client.get("/sign-in").headers["location"] == "/"
    assert client.post("/sign-in", data={"password": "anything"}).headers["location"] == "/"


class Clock:
    """Time that stands still until it is moved."""

    now = 0.0

    def __call__(self) -> float:
        """Now."""
        return self.now


def test_attempts_are_counted_by_client_and_altogether() -> None:
    clock = Clock()
    attempts = Attempts(clock)
    assert [attempts.wait("a") for _ in range(ATTEMPTS)] == [0] * ATTEMPTS
    assert (attempts.wait("a"), attempts.wait("b")) == (60, 0)
    clock.now = 20
    assert attempts.wait("a") == 40
    waits = [attempts.wait(str(number)) for number in range(ALTOGETHER)]
    assert waits.count(0) == ALTOGETHER - ATTEMPTS - 1
    clock.now = 60
    assert attempts.wait("a") == 0
