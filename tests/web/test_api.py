"""The API as a script meets it: each operation once in its plain use, and the ways in which it says no."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from lowsimmer.demo import KITCHEN
from lowsimmer.loads.phases import PHASES
from lowsimmer.loads.report import Terms, full_report
from lowsimmer.loads.why import explain
from lowsimmer.measuring.weigh import items_of
from lowsimmer.publishing.records import assessment_record, line_record
from lowsimmer.publishing.why import why_record
from lowsimmer.reading.dish import REGIONS
from lowsimmer.reading.line import reader
from lowsimmer.store.store import Store, open_store
from lowsimmer.web.api import make_api
from lowsimmer.web.api.models import Phase, Region
from lowsimmer.web.app import make_app
from lowsimmer.web.pages.home import begin_with
from lowsimmer.web.settings import Settings
from tests.web.conftest import OWN

GUIDE = Path(__file__).parents[2] / "docs" / "api.md"
API = "/api/v1"
RICE = "---\ntitle: Rice\nserves: 2\n---\n## Ingredients\n100 g rice\n"
FIGURES = "food,form,analyte,value,source\ngarlic,raw,fructan,1.5,Our laboratory\n"


@pytest.fixture(scope="module")
def quiet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """One bench for all calls that are refused, and so change nothing."""
    store = open_store(str(tmp_path_factory.mktemp("quiet") / "a.sqlite"))
    begin_with(store, "demo")
    app = make_app(store, Settings(rate=1e6, burst=10**6))
    yield TestClient(app, base_url=OWN, headers={"Origin": OWN}, raise_server_exceptions=False)
    store.close()


def got(client: TestClient, address: str) -> Any:
    """The answer to a GET that must succeed."""
    answer = client.get(API + address)
    assert answer.status_code == 200, answer.text
    return answer.json()


def sent(client: TestClient, method: str, address: str, body: Any = None, status: int = 200) -> Any:
    """The answer to a call with a body, which must have this status."""
    answer = client.request(method, API + address, json=body)
    assert answer.status_code == status, answer.text
    return answer.json()


def test_dishes_are_listed_searched_and_counted(client: TestClient) -> None:
    whole = got(client, "/dishes")
    assert whole["count"] == 4
    assert {each["name"] for each in whole["documents"]} == {"salmon", "lentils", "potatoes", "crumble"}
    second = got(client, "/dishes?start=1&count=1")
    assert second["documents"] == whole["documents"][1:2]
    assert second["count"] == 4
    assert [each["name"] for each in got(client, "/dishes?words=beetroot lentils")["documents"]] == ["lentils"]


def test_a_dish_is_kept_under_a_name_made_of_its_title(client: TestClient) -> None:
    made = sent(client, "POST", "/dishes", {"text": RICE}, 201)
    assert (made["name"], made["title"], made["version"], made["text"]) == ("rice", "Rice", 1, RICE)
    assert got(client, "/dishes/rice") == made
    assert sent(client, "POST", "/dishes", {"text": RICE}, 201)["name"] == "rice-2"
    assert sent(client, "POST", "/dishes", {"text": "half", "title": "Röst"}, 201)["name"] == "rost"


def test_a_change_is_kept_with_who_made_it(client: TestClient) -> None:
    sent(client, "POST", "/dishes", {"text": RICE}, 201)
    saved = sent(client, "PUT", "/dishes/rice", {"base": 1, "text": RICE + "1 egg\n", "writer": "night"})
    assert (saved["number"], saved["mine"], saved["merged"], saved["doubled"]) == (2, 2, False, [])
    assert saved["document"]["text"] == RICE + "1 egg\n"
    history = got(client, "/dishes/rice/versions")
    assert [(each["number"], each["writer"]) for each in history["versions"]] == [(2, "night"), (1, "api")]
    assert got(client, "/dishes/rice/versions/1")["text"] == RICE
    assert got(client, "/dishes/rice/differences/1/2") == [{"kind": "added", "old": "", "new": "1 egg"}]


def test_two_who_change_at_once_both_stand(client: TestClient) -> None:
    sent(client, "POST", "/dishes", {"text": RICE}, 201)
    sent(client, "PUT", "/dishes/rice", {"base": 1, "text": RICE.replace("Rice", "Plain rice"), "writer": "a"})
    saved = sent(client, "PUT", "/dishes/rice", {"base": 1, "text": RICE + "1 egg\n", "writer": "b"})
    assert saved["merged"]
    assert got(client, f"/dishes/rice/versions/{saved['mine']}")["text"] == RICE + "1 egg\n"
    assert "Plain rice" in saved["document"]["text"]
    assert "1 egg" in saved["document"]["text"]


def test_undo_and_redo_walk_by_steps(client: TestClient) -> None:
    sent(client, "POST", "/dishes", {"text": RICE}, 201)
    sent(client, "PUT", "/dishes/rice", {"base": 1, "text": "one", "how": "pasted"})
    back = sent(client, "POST", "/dishes/rice/undo")
    assert (back["moved"], back["document"]["text"]) == (True, RICE)
    assert not sent(client, "POST", "/dishes/rice/undo", {"writer": "b"})["moved"]
    forward = sent(client, "POST", "/dishes/rice/redo", {"writer": "b"})
    assert (forward["moved"], forward["document"]["text"]) == (True, "one")
    assert not sent(client, "POST", "/dishes/rice/redo")["moved"]


def test_a_dish_is_taken_off_and_put_back(client: TestClient) -> None:
    assert sent(client, "DELETE", "/dishes/salmon")["removed_at"]
    assert "salmon" not in {each["name"] for each in got(client, "/dishes")["documents"]}
    assert [each["name"] for each in got(client, "/dishes?removed=true")["documents"]] == ["salmon"]
    assert sent(client, "POST", "/dishes/salmon/put-back")["removed_at"] is None
    assert got(client, "/dishes")["count"] == 4


@pytest.mark.parametrize("phase", PHASES)
def test_a_dish_is_judged_as_on_the_command_line(client: TestClient, phase: str) -> None:
    report = full_report(str(KITCHEN / "salmon.md"), Terms(phase))
    assert got(client, f"/dishes/salmon/assessment?phase={phase}") == assessment_record(report.result, report.phases)
    taken_apart = why_record(explain(report.result, "total"))
    assert got(client, f"/dishes/salmon/why/total?phase={phase}") == taken_apart


def test_more_servings_weigh_more(client: TestClient) -> None:
    one, two = (got(client, f"/dishes/salmon/assessment?servings={count}")["serving_g"] for count in (1, 2))
    assert two["value"] == pytest.approx(2 * one["value"], rel=0.01)


def test_a_plate_is_judged_with_the_dishes_that_are_kept(client: TestClient) -> None:
    report = full_report(str(KITCHEN / "supper.yaml"))
    assert got(client, "/plates/supper/assessment") == assessment_record(report.result, report.phases)
    assert got(client, "/plates/supper/why/gos")["group"] == "gos"
    made = sent(client, "POST", "/plates", {"text": "title: Tea\ndishes:\n- file: crumble.md\n"}, 201)
    assert got(client, f"/plates/{made['name']}/assessment")["title"] == "Tea"


def test_lines_are_read_as_on_the_command_line(client: TestClient) -> None:
    read = sent(client, "POST", "/read", {"text": "2 cloves garlic, crushed\n\nsalt and pepper", "region": "uk"})
    line = reader().read("2 cloves garlic, crushed")
    assert read[0] == line_record(line, items_of(line, "uk"), "uk")
    assert [each["line"] for each in read] == ["2 cloves garlic, crushed", "salt and pepper"]


def test_what_is_judged_without_being_kept_is_not_kept(client: TestClient) -> None:
    assert sent(client, "POST", "/assess", {"text": RICE, "servings": 2})["title"] == "Rice"
    plate = {"kind": "plate", "text": "dishes:\n- file: salmon.md\n  portion: 1/2 serving\n"}
    assert sent(client, "POST", "/assess", plate)["verdict"]
    assert got(client, "/dishes")["count"] == 4
    assert got(client, "/plates")["count"] == 1


def test_foods_are_found_and_shown(client: TestClient) -> None:
    found = got(client, "/foods?words=garlic")
    assert found["foods"][0]["food"] == "garlic"
    assert got(client, "/foods/garlic/raw") in found["foods"]
    assert got(client, "/foods?words=garlik")["near"]


def test_sources_are_listed_and_shown(client: TestClient) -> None:
    listed = got(client, "/sources")
    one = got(client, "/sources/muir2007")
    assert {key: one[key] for key in listed[0]} in listed
    assert one["figures"]


def test_own_figures_are_looked_at_put_in_use_and_taken_out(client: TestClient) -> None:
    before = got(client, "/dishes/salmon/assessment")
    rice = sent(client, "POST", "/dishes", {"text": RICE + "10 g garlic\n"}, 201)["name"]
    plain = got(client, f"/dishes/{rice}/assessment")["groups"]["fructan"]["value"]
    assert got(client, "/figures") == {"text": "", "rows": 0, "version": None}

    seen = sent(client, "POST", "/figures/preview", {"text": FIGURES, "dishes": [rice], "plates": ["supper"]})
    assert [each["file"] for each in seen["dishes"]] == [f"{rice}.md", "supper.yaml"]
    assert seen["dishes"][0]["loads"]["fructan"]["before"]["value"] == plain

    assert sent(client, "PUT", "/figures", {"text": FIGURES}) == {"text": FIGURES, "rows": 1, "version": 1}
    after = got(client, f"/dishes/{rice}/assessment")["groups"]["fructan"]["value"]
    assert after == seen["dishes"][0]["loads"]["fructan"]["after"]["value"] != plain
    assert sent(client, "POST", "/assess", {"text": RICE + "10 g garlic\n"})["groups"]["fructan"]["value"] == after
    assert got(client, "/foods/garlic/raw")["g_per_100g"]["fructan"]["value"] == 1.5

    gone = sent(client, "POST", "/figures/preview", {"text": "", "dishes": [rice]})
    assert gone["dishes"][0]["loads"]["fructan"]["after"]["value"] == plain
    assert sent(client, "PUT", "/figures", {"text": ""})["rows"] == 0
    assert got(client, f"/dishes/{rice}/assessment")["groups"]["fructan"]["value"] == plain
    assert got(client, "/dishes/salmon/assessment") == before


def test_broken_own_figures_are_refused_whole(client: TestClient) -> None:
    said = sent(client, "PUT", "/figures", {"text": FIGURES + "garlik,raw,fructan,1,x\n"}, 400)
    assert "line 3" in said["error"]
    assert got(client, "/figures")["rows"] == 0


def test_the_store_is_checked(client: TestClient) -> None:
    assert got(client, "/check") == {"sound": True, "trouble": []}


@pytest.mark.parametrize(
    ("call", "body", "status"),
    [
        ("GET /dishes/nothing", None, 404),
        ("GET /dishes/salmon/versions/77", None, 404),
        ("PUT /dishes/salmon", {"base": 77, "text": "x"}, 404),
        ("GET /plates/salmon/assessment", None, 404),
        ("GET /foods/garlic/dry-aged", None, 404),
        ("GET /sources/nobody", None, 404),
        ("POST /figures/preview", {"text": FIGURES, "dishes": ["nothing"]}, 404),
        ("GET /nothing", None, 404),
        ("GET /dishes/", None, 404),
        ("PATCH /dishes/salmon", {}, 405),
        ("POST /assess", {"text": "no front matter"}, 400),
        ("POST /assess", {"text": "dishes:\n- file: salmon.md\n", "kind": "plate", "servings": 2}, 400),
        ("POST /read", {"text": " \n"}, 400),
        ("POST /read", {"text": "1 egg\n" * 401}, 400),
        ("GET /foods?words=%20", None, 400),
        ("GET /foods", None, 422),
        ("GET /dishes/Salmon!", None, 422),
        ("GET /dishes/salmon/why/bread", None, 422),
        ("GET /dishes/salmon/assessment?phase=later", None, 422),
        ("GET /dishes/salmon/assessment?servings=nan", None, 422),
        ("GET /dishes/salmon/assessment?servings=0", None, 422),
        (f"GET /dishes/salmon/versions/{2**63}", None, 422),
        (f"GET /dishes?start={10**40}", None, 422),
        ("GET /dishes?count=1000", None, 422),
        ("GET /dishes?words=a%00b", None, 422),
        ("PUT /dishes/salmon", {"base": 2**80, "text": "x"}, 422),
        ("PUT /dishes/salmon", {"base": "1", "text": "x"}, 422),
        ("PUT /dishes/salmon", {"base": 1, "text": "x", "how": "undone"}, 422),
        ("PUT /dishes/salmon", {"base": 1, "text": "x", "writer": "a b"}, 422),
        ("POST /dishes", {"text": "x", "colour": "blue"}, 422),
        ("POST /dishes", {"text": "a\x00b"}, 422),
        ("POST /dishes", {"text": "x", "title": "a\x00b"}, 422),
        ("POST /dishes", {"text": "row\n" * 1001}, 422),
        ("POST /dishes", {"text": "x" * 400_001}, 422),
        ("POST /dishes", None, 422),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(quiet: TestClient, call: str, body: Any, status: int) -> None:
    before = got(quiet, "/dishes"), got(quiet, "/plates")
    method, address = call.split(" ", 1)
    said = sent(quiet, method, address, body, status)
    assert set(said) == {"error", "next_step"}
    assert said["error"].endswith(".")
    assert (got(quiet, "/dishes"), got(quiet, "/plates")) == before


@pytest.mark.parametrize(
    "body",
    [
        b'{"text": "\\ud800"}',  # half a surrogate pair: text that UTF-8 cannot hold
        b'{"text": "1 egg", "\\udfff": 1}',
        b'{"text": "1 egg"',
        b"\xff\xfe\x00",
        b"[" * 100_000,
        b'{"text": ' + b"1" * 10_000 + b"}",
        b'{"text": NaN}',
        b"null",
    ],
    ids=range(8),
)
def test_bodies_that_are_no_text_are_refused(quiet: TestClient, body: bytes) -> None:
    answer = quiet.post(API + "/read", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code in {400, 422}
    assert answer.json()["error"].endswith(".")


def test_an_escape_that_no_text_can_hold_is_answered_all_the_same(client: TestClient) -> None:
    text = RICE.replace("title: Rice", r'title: "a \ud800 b"')
    answer = client.post(API + "/assess", json={"text": text})
    assert answer.status_code in {200, 400}
    assert answer.json()


def test_answers_are_not_kept_on_the_way(client: TestClient) -> None:
    assert client.get(API + "/dishes").headers["cache-control"] == "no-store"


def test_a_script_from_elsewhere_changes_nothing(client: TestClient) -> None:
    answer = client.post(API + "/dishes/salmon/undo", headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert set(answer.json()) == {"error", "next_step"}


def test_the_words_of_the_edge_are_those_of_the_rooms() -> None:
    assert Phase.__args__ == PHASES  # type: ignore[attr-defined]
    assert Region.__args__ == ("", *REGIONS)  # type: ignore[attr-defined]


def test_the_page_tells_every_operation_and_every_record(client: TestClient) -> None:
    page, described = client.get("/api").text, got(client, "/openapi.json")
    for address, methods in described["paths"].items():
        for method, operation in methods.items():
            assert f"<code>{method.upper()} {API}{address}</code>" in page
            assert all(f"<code>{each['name']}</code>" in page for each in operation.get("parameters", ()))
    places = {part.split('"')[0] for part in page.split('href="#')[1:]} - {"main"}
    assert places
    assert all(f'id="{place}"' in page for place in places)


def test_every_body_has_words_for_its_limits(client: TestClient) -> None:
    """No text without an end and no number without bounds comes in."""
    described = got(client, "/openapi.json")
    bodies = ("By", "NewDocument", "Change", "Lines", "Sheet", "FiguresText", "FiguresAsked")
    for name in bodies:
        for field in described["components"]["schemas"][name]["properties"].values():
            inner = field.get("items", field)
            bounded = {"maxLength", "enum"} if inner["type"] == "string" else {"maximum", "exclusiveMaximum"}
            assert bounded & inner.keys(), (name, field)
            assert field["type"] != "array" or "maxItems" in field


def test_the_guide_names_every_operation(store: Store) -> None:
    """docs/api.md has a row for each call, and only for calls that there are."""
    text = GUIDE.read_text(encoding="utf-8")
    rows = set(re.findall(r"^\| `((?:GET|POST|PUT|DELETE) [^`?]+)", text, flags=re.MULTILINE))
    paths = make_api(store).openapi()["paths"]
    there = {f"{method.upper()} {path}" for path, methods in paths.items() for method in methods}
    both = {call.replace("/plates", "/dishes", 1) for call in there}
    assert rows == both


def test_the_examples_of_the_guide_hold(client: TestClient) -> None:
    """Each example is a call and a body; its answer has at least the keys and values that are shown."""
    text = GUIDE.read_text(encoding="utf-8")
    examples = re.findall(r"```http\n(\w+) (\S+)\n(.*?)```\n+```json\n(.*?)```", text, flags=re.DOTALL)
    assert examples
    for method, address, body, shown in examples:
        answer = client.request(method, address, json=json.loads(body) if body.strip() else None)
        assert json.loads(shown).items() <= answer.json().items(), address
