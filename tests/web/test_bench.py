from __future__ import annotations

import logging
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from lowsimmer.store.records import DocumentKind
from lowsimmer.store.store import Store
from lowsimmer.web.app import make_app
from lowsimmer.web.guard.headers import POLICY
from lowsimmer.web.guard.sign_in import hashed
from lowsimmer.web.settings import Settings
from tests.web.conftest import OWN

DISH = DocumentKind.DISH
FORM = {"Content-Type": "application/x-www-form-urlencoded"}
RICE = "---\ntitle: Rice\nserves: 2\n---\n## Ingredients\n100 g rice"
PAGES = ["/", "/dishes/new", "/dishes/salmon", "/dishes/salmon/history", "/dishes/lentils/why/gos", "/plates/supper",
         "/plates/new", "/plates/supper/why/total", "/foods?words=dill", "/foods/garlic/raw", "/figures", "/sources",
         "/sources/muir2007", "/keep", "/api", "/api/v1/openapi.json"]  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_every_page_answers_with_the_headers_of_safety(client: TestClient, page: str) -> None:
    answer = client.get(page)
    assert answer.status_code == 200
    assert answer.headers["content-security-policy"] == POLICY
    assert "<script>" not in answer.text
    assert ' style="' not in answer.text


@pytest.mark.parametrize("page", ["/nothing", "/dishes/nothing", "/sources/nothing", "/foods/no/thing"])
def test_what_is_not_there_is_said(client: TestClient, page: str) -> None:
    answer = client.get(page)
    assert answer.status_code == 404
    assert "content-security-policy" in answer.headers


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 403), ({"Origin": "http://elsewhere.example"}, 403), ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site", "Origin": OWN}, 403), ({"Sec-Fetch-Site": "none"}, 403),
        ({"Origin": OWN}, 303), ({"Sec-Fetch-Site": "same-origin"}, 303),
    ],
)  # fmt: skip
def test_a_change_comes_from_our_own_pages_or_not_at_all(store: Store, headers: dict[str, str], status: int) -> None:
    client = TestClient(make_app(store, Settings()), base_url=OWN, follow_redirects=False)
    assert client.post("/dishes/salmon/undo", headers=headers).status_code == status


def test_a_foreign_host_name_gets_nothing(client: TestClient) -> None:
    assert client.get("/", headers={"Host": "rebound.example:8424"}).status_code == 421


def test_a_body_over_its_limit_is_refused_also_without_a_length(client: TestClient, store: Store) -> None:
    before = store.head(DISH, "salmon")

    def chunks() -> Iterator[bytes]:
        yield from (b"x" * 65536 for _ in range(40))

    answer = client.post("/dishes/salmon", content=chunks(), headers=FORM)
    assert answer.status_code == 413
    assert store.head(DISH, "salmon") == before


def test_a_client_that_hurries_is_told_to_wait(store: Store) -> None:
    client = TestClient(make_app(store, Settings(rate=0.001, burst=3)), base_url=OWN)
    assert [client.get("/static/mark.svg").status_code for _ in range(4)] == [200, 200, 200, 429]


def test_a_bench_with_a_password_lets_nobody_past_the_door(store: Store) -> None:
    app = make_app(store, Settings(password_hash=hashed("eight letters")))
    client = TestClient(app, base_url=OWN, headers={"Origin": OWN}, follow_redirects=False)
    assert client.get("/", headers={"Accept": "text/html"}).headers["location"] == "/sign-in"
    assert client.get("/api/v1/dishes").status_code == 401
    assert client.post("/sign-in", data={"password": "wrong"}).status_code == 403
    answer = client.post("/sign-in", data={"password": "eight letters"})
    assert answer.status_code == 303
    assert "httponly" in answer.headers["set-cookie"].lower()
    assert "samesite=strict" in answer.headers["set-cookie"].lower()
    assert client.get("/").status_code == 200


def test_the_log_names_nobody(client: TestClient, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO)
    client.get("/dishes/salmon?servings=2")
    client.get("/foods?words=private")
    ours = "\n".join(record.getMessage() for record in caplog.records if record.name.startswith("lowsimmer"))
    assert "GET" in ours
    assert not any(word in ours for word in ("salmon", "private", "servings", "127.0.0.1"))


def test_hostile_words_are_shown_as_words(client: TestClient) -> None:
    made = client.post("/dishes/new", data={"text": "<img src=x onerror=alert(1)>\nServes 2\n1 <b>egg</b>"})
    assert "<img src=x" not in made.text
    assert "<b>egg" not in made.text


def test_typing_is_kept_and_answered(client: TestClient, store: Store) -> None:
    head = store.head(DISH, "lentils")
    given = {"base": str(head.number), "ingredients": "200 g chickpeas"}
    reply = client.post("/dishes/lentils", data=given, headers={"Accept": "application/json"}).json()
    assert reply["number"] == head.number + 1
    assert "Chickpeas, canned, drained" in reply["asked"]
    chosen = given | {"base": str(reply["number"]), "answer": "0|200 g chickpeas, canned, drained"}
    again = client.post("/dishes/lentils", data=chosen, headers={"Accept": "application/json"}).json()
    assert again["fields"]["ingredients"] == "200 g chickpeas, canned, drained"
    assert "GOS" in again["judged"]


def test_a_half_written_dish_is_kept_and_says_what_is_missing(client: TestClient, store: Store) -> None:
    head = store.head(DISH, "lentils")
    reply = client.post(
        "/dishes/lentils",
        data={"base": str(head.number), "title": "", "serves": "", "ingredients": "2 tb"},
        headers={"Accept": "application/json"},
    ).json()
    assert "Not judged yet" in reply["judged"]
    assert "2 tb" in store.head(DISH, "lentils").text


def test_a_figure_leads_to_its_source_and_back(client: TestClient) -> None:
    why = client.get("/dishes/lentils/why/gos").text
    assert 'href="/dishes/lentils' in why
    assert 'href="/sources/' in why
    source = why.split('href="/sources/')[1].split('"')[0]
    assert client.get(f"/sources/{source}").status_code == 200


def test_the_api_keeps_changes_and_judges(client: TestClient) -> None:
    made = client.post("/api/v1/dishes", json={"title": "Rice", "text": RICE})
    assert made.status_code == 201
    assert client.get("/api/v1/dishes/rice/assessment").json()["title"] == "Rice"
    changed = client.put("/api/v1/dishes/rice", json={"base": 1, "text": made.json()["text"] + "\n1 egg"}).json()
    assert changed["document"]["version"] == 2
    assert "1 egg" in client.get("/api/v1/dishes/rice").text
    assert client.get("/api/v1/dishes/none").json()["error"].startswith("There is no dish")
