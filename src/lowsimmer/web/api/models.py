"""What scripts may send: every text and every number with its limit.

NUL characters and halves of surrogate pairs are refused at this edge, for no database could keep them, and whole
numbers stay within what a column of the store can hold.
"""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Path, Query
from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from lowsimmer.domain.groups import SUMS, Group

COMPONENTS = (*(group.value for group in Group), *SUMS)
LONGEST_TEXT = 400_000
MOST_ROWS = 1000  # rows of a dish or a plate: a merge or a comparison of more would take too long
MOST_DISHES = 40
MOST_SERVINGS = 20.0
NO_NUL = r"^[^\x00]*$"
SLUG = r"^[a-z0-9]+(-[a-z0-9]+)*$"


def _no_nul(text: str) -> str:
    """A text that every database can keep."""
    if "\x00" in text:
        raise ValueError("the text holds a NUL character")
    return text


def _few_rows(text: str) -> str:
    """A text with as many rows as a dish can have."""
    if len(text.splitlines()) > MOST_ROWS:
        raise ValueError(f"the text has more than {MOST_ROWS} rows")
    return text


def _component(word: str) -> str:
    """One of the groups or sums, exactly as it is called."""
    if word not in COMPONENTS:
        raise ValueError(f"expected one of {', '.join(COMPONENTS)}")
    return word


Phase = Literal["restriction", "maintenance"]
Region = Literal["", "us", "uk", "au", "nz"]
How = Literal["typed", "pasted", "imported"]

LongText = Annotated[str, Field(max_length=LONGEST_TEXT), AfterValidator(_no_nul)]
SheetText = Annotated[LongText, AfterValidator(_few_rows)]
Title = Annotated[str, Field(max_length=200, pattern=NO_NUL, description="its name is made of it")]
Writer = Annotated[str, Field(pattern="^[A-Za-z0-9]+$", max_length=40, description="who writes: letters and digits")]
Base = Annotated[int, Field(ge=1, lt=2**31, description="the version that the text was made from")]
Slug = Annotated[str, Field(pattern=SLUG, max_length=80)]
Servings = Annotated[float, Field(gt=0, le=MOST_SERVINGS, allow_inf_nan=False)]

NameInPath = Annotated[str, Path(pattern=SLUG, max_length=80)]
KeyInPath = Annotated[str, Path(pattern=r"^[a-z0-9._-]+$", max_length=80)]
NumberInPath = Annotated[int, Path(ge=1, lt=2**31)]
GroupInPath = Annotated[str, Path(json_schema_extra={"enum": list(COMPONENTS)}), AfterValidator(_component)]
Words = Annotated[str, Query(max_length=200, pattern=NO_NUL, description="all of them must be found")]
Start = Annotated[int, Query(ge=0, le=1_000_000, description="how many to pass over")]
Count = Annotated[int, Query(ge=1, le=200, description="how many at most")]
PhaseAsked = Annotated[Phase, Query(description="whose limits judge")]
ServingsAsked = Annotated[
    float, Query(gt=0, le=MOST_SERVINGS, allow_inf_nan=False, description="how many servings are eaten")
]


class _Given(BaseModel):
    """A body: exactly these fields, of exactly these types."""

    model_config = ConfigDict(extra="forbid", strict=True)


class By(_Given):
    """Who makes a change."""

    writer: Writer = "api"


class NewDocument(By):
    """A new dish or plate: its whole text. Without a title that of the text counts."""

    text: SheetText
    title: Title = ""
    how: How = "typed"


class Change(By):
    """A new text for a dish or plate, made from version `base`.

    Changes `typed` by one writer within a minute are one step for undo; `pasted` and `imported` stand alone.
    """

    base: Base
    text: SheetText
    how: How = "typed"


class Lines(_Given):
    """Ingredient lines, one a row; the region says whose cups, spoons and words."""

    text: SheetText
    region: Region = ""


class Sheet(_Given):
    """A dish or a plate that is judged and not kept; a plate names kept dishes and takes no servings."""

    text: SheetText
    kind: Literal["dish", "plate"] = "dish"
    phase: Phase = "restriction"
    servings: Servings = 1.0


class FiguresText(By):
    """Own figures as CSV; an empty text takes all out of use."""

    text: LongText


class FiguresAsked(_Given):
    """Own figures as CSV to look at, and the names of kept dishes and plates to look at them with."""

    text: LongText
    dishes: list[Slug] = Field(default=[], max_length=MOST_DISHES)
    plates: list[Slug] = Field(default=[], max_length=MOST_DISHES)
    phase: Phase = "restriction"
