"""What every page needs: the store of this bench, the templates, and who is writing."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from lowsimmer import __version__
from lowsimmer.domain.errors import InputError
from lowsimmer.domain.groups import component_label
from lowsimmer.loads.phases import PHASES
from lowsimmer.publishing.text import grams, range_words
from lowsimmer.store.store import Store
from lowsimmer.web.settings import Settings

TEMPLATES = Path(__file__).parents[1] / "templates"
LOOKS = ("as the machine", "light", "dark")
LONGEST_WRITER = 40


@dataclass(frozen=True, slots=True)
class Bench:
    """What the pages work on: the store and the settings of this server."""

    store: Store
    settings: Settings


def bench(request: Request) -> Bench:
    """The bench that serves this request."""
    return Bench(request.app.state.store, request.app.state.settings)


@cache
def _templates() -> Environment:
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"grams": grams, "range_words": range_words, "component": component_label}
    made.globals |= {"version": __version__, "phases": PHASES, "looks": LOOKS}
    return made


def fill(request: Request, template: str, **values: Any) -> str:
    """A template filled: the text of a page or of a piece of one."""
    look = request.session.get("look", LOOKS[0]) if "session" in request.scope else LOOKS[0]
    signed_in = bool("session" in request.scope and request.session.get("signed_in"))
    return _templates().get_template(template).render(request=request, look=look, signed_in=signed_in, **values)


def render(request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A page, or a piece of one for htmx. What it shows changes with every edit, so no browser keeps it."""
    text = fill(request, template, **values)
    return HTMLResponse(text, status_code=status, headers={"Cache-Control": "no-store"})


def see_other(address: str) -> Response:
    """After a form: the browser goes on to an address with a plain GET."""
    return RedirectResponse(address, status_code=303)


def writer(request: Request) -> str:
    """Who writes: the id that a browser tab gives itself, else a new one for a form without script."""
    given = request.headers.get("X-Writer", "")
    usable = given.isascii() and given.isalnum() and len(given) <= LONGEST_WRITER
    return given if given and usable else f"form{secrets.token_hex(4)}"


def is_htmx(request: Request) -> bool:
    """True when htmx asks for a piece of a page; a page that the browser goes back to is wanted whole."""
    return request.headers.get("HX-Request") == "true" and "HX-History-Restore-Request" not in request.headers


def phase_of(request: Request) -> str:
    """The phase that a page is asked for; restriction when nothing is said. Raises InputError for another word."""
    phase = request.query_params.get("phase", PHASES[0])
    if phase not in PHASES:
        raise InputError(f"'{phase[:40]}' is not a phase.", f"Use one of {', '.join(PHASES)}.")
    return phase
