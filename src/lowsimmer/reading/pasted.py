"""Loose text as it is pasted from a page, a mail or a caption, sorted into the pieces of a dish.

A dish file and recipe data (schema.org Recipe, as JSON or inside a page) are recognised. Of other text the first line
is the title, a line such as "serves 4" gives the servings, and headings open ingredients, method and notes. Where there
are no headings each line is looked at: with an amount, or short and among ingredients, it is an ingredient; a numbered
or long line is a step. Nothing is thrown away: prose before the ingredients goes into the notes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.findings import Kind
from lowsimmer.domain.lines import Line
from lowsimmer.reading.dish import heading
from lowsimmer.reading.jsonld import Recipe, find_recipe
from lowsimmer.reading.line import reader
from lowsimmer.reading.sheet import PLAIN_INGREDIENTS, PLAIN_METHOD, Sheet, known_fields, sheet_of

_NUMBER = r"(?:\d{1,3}(?:\s?(?:to|-|–)\s?\d{1,3})?|one|two|three|four|five|six|seven|eight|nine|ten|twelve)"
_SERVES = re.compile(
    r"(serves|servings?|portions?|yields?|makes|for)\b[:\s]{0,3}(?:about |approx\.? )?"
    rf"({_NUMBER})\b\s?([a-z ]{{0,40}})",
    re.IGNORECASE,
)
_PEOPLE = re.compile(rf"({_NUMBER}) (?:servings?|portions?|people|persons)\b", re.IGNORECASE)
_OF_PEOPLE = {"", "people", "persons", "servings", "serving", "portions", "portion", "adults", "as"}
_STEP = re.compile(r"\s*(?:step\s*)?\d{1,2}\s?[.):]\s*\S", re.IGNORECASE)
_MARK = re.compile(r"\s*[-*+•·▢☐□]\s*(?=\S)")
_BOLD = re.compile(r"\*\*([^*]{1,60})\*\*:?")
_HASHTAG = re.compile(r"#\w")
_FOR_A_PART = re.compile(r"(ingredients|method|directions|instructions) (?:for|to|serves)\b.*")
_OPENS = re.compile(r"(ingredients|method|directions|instructions)\s?:\s?(?=\S)", re.IGNORECASE)
INGREDIENTS = PLAIN_INGREDIENTS | {
    "ingredients list", "ingredient list", "you will need", "you'll need", "what you need", "what you'll need",
    "what you will need",
}  # fmt: skip
METHOD = PLAIN_METHOD | {
    "methods", "direction", "instruction", "what to do", "how to make it", "how to make", "cooking instructions",
    "to make", "how to cook",
}  # fmt: skip
OTHER = {
    "notes", "note", "tips", "tip", "recipe notes", "cook's notes", "cook's tips", "nutrition", "storage", "variations",
    "equipment", "nutritional information", "serving suggestions",
}  # fmt: skip
_HEADINGS = {"ingredients": INGREDIENTS, "method": METHOD, "rest": OTHER}
LONG_SENTENCE = 12  # words: a line that long is a step
SHORT_LINE = 6  # words: a line that short among ingredients is one, also without an amount


def pasted(text: str) -> Sheet:
    """The sheet of a pasted text; every word of it is somewhere on the sheet. Never raises."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    start = text.lstrip()[:1]
    if start in {"{", "[", "<"}:
        try:
            return sheet_from(find_recipe(text, "What was pasted"))
        except InputError:
            text = _words_of_page(text) if start == "<" else text
    if text.lstrip().startswith("---"):
        sheet = sheet_of(text)
        if sheet.title or sheet.ingredients:
            return _usable(sheet)
    return _Sorting(text.split("\n")).sheet()


def sheet_from(recipe: Recipe) -> Sheet:
    """The sheet of recipe data."""
    rows = (_row(each) for each in recipe.ingredients)
    steps = (f"{number}. {step}" for number, step in enumerate(recipe.steps, 1))
    return Sheet(title=recipe.title, serves=recipe.serves, ingredients="\n".join(rows), method="\n".join(steps))


def _usable(sheet: Sheet) -> Sheet:
    """The sheet with fields that no dish has among the other text: with them it could not be assessed."""
    if known_fields(sheet):
        return sheet
    known = {key: words for key, words in sheet.extra.items() if known_fields(Sheet(extra={key: words}))}
    strange = [f"{key}: {words}" for key, words in sheet.extra.items() if key not in known]
    rest = "\n".join([*([sheet.rest, ""] if sheet.rest else []), "## Other fields", *strange])
    return replace(sheet, extra=known, rest=rest)


# A page without recipe data


class _Page(HTMLParser):
    """The words of a page, a line for each piece of it."""

    INLINE = frozenset({"a", "b", "i", "em", "strong", "span", "small", "sup", "sub", "u", "abbr", "label"})
    UNSEEN = frozenset({"script", "style", "head", "noscript", "template"})

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.words: list[str] = []
        self._unseen = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A new piece, unless the tag only marks words."""
        self._unseen += tag in self.UNSEEN
        self._end_of_line(tag)

    def handle_endtag(self, tag: str) -> None:
        """The end of a piece."""
        self._unseen = max(self._unseen - (tag in self.UNSEEN), 0)
        self._end_of_line(tag)

    def _end_of_line(self, tag: str) -> None:
        if tag not in self.INLINE:
            self.words.append("\n")

    def handle_data(self, data: str) -> None:
        """Words that a reader of the page sees."""
        if not self._unseen:
            self.words.append(re.sub(r"\s+", " ", data))


def _words_of_page(text: str) -> str:
    page = _Page()
    page.feed(text)
    page.close()
    words = "".join(page.words)
    return words if words.strip() else text


# Single lines


def _row(line: str) -> str:
    """A line that can stand in a section without opening another one."""
    return f"##{line.lstrip()}" if 1 <= heading(line.lstrip())[0] <= 2 else line


@dataclass(frozen=True, slots=True)
class _Said:
    """How many people (or else pieces) a line says the dish is for, and whether the line says nothing else."""

    number: str
    things: str
    people: bool
    whole: bool


def _said(line: str, anywhere: bool) -> _Said | None:
    """What a line says of servings: as its first words, or anywhere in it while it can be no ingredient."""
    found = _SERVES.match(line)
    if found is None:
        inside = _PEOPLE.search(line) if anywhere and len(line) <= 80 else None
        whole = inside is not None and not inside.start() and not line[inside.end() :].strip(" .:")
        return _Said(_plain(inside.group(1)), "", True, whole) if inside else None
    word, things = found.group(1).lower(), " ".join(found.group(3).lower().split())
    people = things.partition(" ")[0] in _OF_PEOPLE and not (word == "makes" and not things)
    if not people and word[0] not in "my":
        return None
    whole = not line[found.end() :].strip(" .:") and (not people or things in _OF_PEOPLE)
    return _Said(_plain(found.group(2)), things or "pieces", people, whole)


def _plain(number: str) -> str:
    return number.lower().replace("–", "-")


def _bare(line: str) -> str:
    """The words of a line that might be a heading."""
    return " ".join(re.sub(r"[^\w' ]+", " ", line.replace("’", "'")).lower().split())


def _section(line: str) -> str:
    """ingredients, method or rest for a line that is a heading by its words; else empty."""
    if len(line) > 80:
        return ""
    bare = _bare(line)
    part = _FOR_A_PART.fullmatch(bare)
    word = part.group(1) if part else bare
    return next((to for to, words in _HEADINGS.items() if word in words), "")


def _opening(line: str) -> tuple[str, str]:
    """The section that a line opens, if any, and what stands behind the colon."""
    opened = _OPENS.match(line)
    return (_section(opened.group(1)), line[opened.end() :]) if opened else (_section(line), "")


def _is_ingredient(line: str) -> bool:
    """True for a line with an amount or an informal one, and for a marked line."""
    if _MARK.match(line):
        return True
    numbered = _STEP.match(line)
    if numbered and (not line[numbered.end() - 1].isdigit() or line.endswith(".")):
        return False
    read: Line = reader().read(line)
    refused = any(each.kind in {Kind.NOT_UNDERSTOOD, Kind.HEADING} for each in read.findings)
    short = len(line.split()) < LONG_SENTENCE
    return not refused and short and (read.amount is not None or read.informal)


# The whole text


@dataclass(slots=True)
class _Sorting:
    """The lines of a text on their way to their places."""

    lines: list[str]
    title: str = ""
    serves: str = ""
    makes: str = ""
    into: str = ""
    found: dict[str, list[str]] = field(
        default_factory=lambda: {"ingredients": [], "method": [], "rest": [], "notes": []}
    )

    def sheet(self) -> Sheet:
        """All lines sorted."""
        headed = {_opening(line.strip())[0] for line in self.lines}
        for line in (each.strip() for each in self.lines):
            if line.strip("-*_=~.#: "):
                self._take(line, headed)
        ingredients, method, rest, notes = ("\n".join(self.found[each]) for each in self.found)
        return Sheet(self.title, self.serves, "", self.makes, "", notes, ingredients, method, rest)

    def _take(self, line: str, headed: set[str]) -> None:
        section, more = _opening(line)
        if section and (self.title or section != "rest"):
            self._open(section, line)
            if more:
                self._take(more, headed)
        elif self.into in {"method", "rest"}:
            self._go_on(line)
        elif not self._servings(line):
            self._put(line, headed)

    def _open(self, section: str, line: str) -> None:
        self.into = section
        if section == "rest":
            self.found["rest"].append(f"## {line.strip('#*_: ')}")
        elif _FOR_A_PART.fullmatch(_bare(line)):
            self.found[section].append(f"### {line.strip('#*_: ')}")
            self._servings(_bare(line).split(" ", 1)[1])

    def _go_on(self, line: str) -> None:
        """A line of the method, or of another section; a heading of the page may open one more."""
        if 1 <= heading(line)[0] <= 2:
            self.into = "rest"
            self.found["rest"].append(line)
        else:
            self.found[self.into].append(_MARK.sub("", line, 1) if self.into == "method" else line)

    def _servings(self, line: str) -> bool:
        """True when the line says nothing but how many the dish serves or makes."""
        said = _said(line, not (self.into or self.found["ingredients"]))
        if said is None:
            return False
        if said.people and not self.serves:
            self.serves = said.number
        elif not said.people and not self.makes:
            self.makes = f"{said.number} {said.things}"
        else:
            return False
        return said.whole

    def _put(self, line: str, headed: set[str]) -> None:
        """A line before the method: by its heading, or else by what it looks like."""
        level, name = heading(line)
        bold = _BOLD.fullmatch(line)
        begun = self.into or self.found["ingredients"] or self.found["method"]
        if not self.title and not begun and ("ingredients" in headed or not _is_ingredient(line)):
            self.title = name or line.strip("#*_ ")
        elif _HASHTAG.match(line):
            self.found["notes"].append(line)
        elif level or bold:
            self._heading(level, name or (bold.group(1) if bold else line))
        elif not self.into and "ingredients" in headed:
            self.found["notes"].append(line)
        elif "method" not in headed and self._is_step(line):
            self.into = "method" if "ingredients" in headed else ""
            self.found["method"].append(_MARK.sub("", line, 1))
        else:
            self.found["ingredients"].append(_row(_MARK.sub("", line, 1)))

    def _heading(self, level: int, words: str) -> None:
        """A heading of no known words: of a part of the dish, or (after the ingredients) of something else."""
        if self.into and 1 <= level <= 2:
            self.into = "rest"
            self.found["rest"].append(f"## {words}")
        else:
            self.found["ingredients"].append(f"### {words}")

    def _is_step(self, line: str) -> bool:
        """True for a numbered or long line, and for any line without an amount once there are steps."""
        if _is_ingredient(line):
            return False
        words = len(line.split())
        sentence = words > SHORT_LINE and line.endswith((".", "!"))
        return bool(_STEP.match(line) or self.found["method"]) or words >= LONG_SENTENCE or sentence
