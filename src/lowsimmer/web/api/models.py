"""What scripts may send: every text and number with its limit."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path, Query
from pydantic import AfterValidator, BaseModel, Field


def _plain(text: str) -> str:
    """A text that every database can keep: no NUL and no half of a surrogate pair."""
    if "\x00" in text or any("\ud800" <= each <= "\udfff" for each in text):
        raise ValueError("the text holds characters that cannot be kept")
    return text


Text = Annotated[str, Field(max_length=200_000), AfterValidator(_plain)]
Words = Annotated[str, Query(max_length=100), AfterValidator(_plain)]
Name = Annotated[str, Path(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)]
Number = Annotated[int, Path(ge=1, lt=2**31)]
Start = Annotated[int, Query(ge=0, le=1_000_000)]
Count = Annotated[int, Query(ge=1, le=200)]


class NewDocument(BaseModel):
    """A new dish or plate: its whole text."""

    text: Text
    title: Annotated[str, Field(max_length=200), AfterValidator(_plain)] = ""


class Change(BaseModel):
    """A new text for a dish or plate, made from version `base`."""

    base: Annotated[int, Field(ge=1, lt=2**31)]
    text: Text


class Lines(BaseModel):
    """Ingredient lines, one a row."""

    text: Text
    region: Annotated[str, Field(pattern=r"^(us|uk|au|nz)?$")] = ""


class DishText(BaseModel):
    """A dish file that is judged and not kept."""

    text: Text


class Trouble(BaseModel):
    """Why a request was refused, and what to do."""

    error: str
    next_step: str = ""
