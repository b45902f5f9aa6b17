"""A schema.org Recipe, as JSON-LD in a JSON file or inside a saved web page.

Read are name, recipeYield, recipeIngredient (or the older `ingredients`) and recipeInstructions (text, HowToStep,
HowToSection). Pages may hold several blocks, lists and `@graph`s; the first Recipe that has ingredients is taken.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from typing import Any

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.lines import Dish
from lowsimmer.reading.dish import build_dish

_TAGS = re.compile(r"<[^>]{0,200}>")
_DEEPEST = 40


@dataclass(frozen=True, slots=True)
class Recipe:
    """What recipe data holds, as text; `serves` is empty when it does not say."""

    title: str
    serves: str
    ingredients: tuple[str, ...]
    steps: tuple[str, ...]


def read_jsonld(text: str, what: str) -> Dish:
    """The dish in a JSON-LD text or an HTML page. Raises InputError when there is no recipe with ingredients."""
    recipe = find_recipe(text, what)
    front = {"title": recipe.title, "serves": recipe.serves or None}
    return build_dish(front, [("", each) for each in recipe.ingredients], list(recipe.steps), what)


def find_recipe(text: str, what: str) -> Recipe:
    """The first recipe in a JSON-LD text or an HTML page, whole or not. Raises InputError when there is none."""
    is_json = text.lstrip()[:1] in {"{", "["}
    blocks = [_parsed(text, what)] if is_json else list(_blocks(text))
    recipe = next((found for block in blocks for found in _recipes(block, 0)), None)
    if recipe is None:
        raise InputError(
            f"{what} holds no recipe data (schema.org Recipe).",
            "Save the page that shows the recipe, or type the dish as .md.",
        )
    return _recipe(recipe)


def _parsed(text: str, what: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        place = f" (line {error.lineno})" if isinstance(error, json.JSONDecodeError) else ""
        raise InputError(f"{what} is not valid JSON{place}.", "Check brackets, commas and quotes.") from error


class _Blocks(HTMLParser):
    """Collects the text of every script element of type application/ld+json."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self._inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open a block."""
        kind = (dict(attrs).get("type") or "").lower()
        self._inside = tag == "script" and "ld+json" in kind
        if self._inside:
            self.found.append("")

    def handle_endtag(self, tag: str) -> None:
        """Close a block."""
        self._inside = False

    def handle_data(self, data: str) -> None:
        """Keep what stands in a block."""
        if self._inside:
            self.found[-1] += data


def _blocks(text: str) -> Iterator[Any]:
    """Every block of the page that is JSON; broken ones are passed over, as browsers do."""
    collector = _Blocks()
    collector.feed(text)
    for block in collector.found:
        try:
            yield json.loads(block, strict=False)
        except (ValueError, RecursionError):
            continue


def _recipes(node: Any, depth: int) -> Iterator[dict[str, Any]]:
    if depth > _DEEPEST:
        return
    if isinstance(node, list):
        for each in node:
            yield from _recipes(each, depth + 1)
    elif isinstance(node, dict):
        if "Recipe" in _listed(node.get("@type")) and _ingredients(node):
            yield node
        for key in ("@graph", "mainEntity", "mainEntityOfPage", "itemListElement", "item"):
            yield from _recipes(node.get(key), depth + 1)


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _ingredients(recipe: dict[str, Any]) -> list[str]:
    given = recipe.get("recipeIngredient") or recipe.get("ingredients")
    lines = [each for part in _listed(given) if isinstance(part, str) for each in part.splitlines()]
    return [plain for each in lines if (plain := _plain(each))]


def _plain(text: object) -> str:
    return " ".join(html.unescape(_TAGS.sub(" ", str(text))).split())


def _recipe(recipe: dict[str, Any]) -> Recipe:
    serves = next((_plain(each) for each in _listed(recipe.get("recipeYield")) if re.search(r"\d", str(each))), None)
    digits = re.search(r"\d+(?:\s*(?:-|–|to)\s*\d+)?", serves) if serves else None
    return Recipe(
        title=_plain(recipe.get("name") or "Untitled recipe"),
        serves=digits.group() if digits else "",
        ingredients=tuple(_ingredients(recipe)),
        steps=tuple(_steps(recipe.get("recipeInstructions"), 0)),
    )


def _steps(node: Any, depth: int) -> Iterator[str]:
    if depth > _DEEPEST:
        return
    if isinstance(node, str):
        yield from (plain for part in node.splitlines() if (plain := _plain(part)))
    elif isinstance(node, list):
        for each in node:
            yield from _steps(each, depth + 1)
    elif isinstance(node, dict):
        yield from _steps(node.get("itemListElement") or node.get("text") or node.get("name"), depth + 1)
