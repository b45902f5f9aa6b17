"""YAML as data only: no tags, no anchors and aliases (so no bombs), one document, a mapping at the top."""

from __future__ import annotations

import json
from typing import Any

from lowsimmer.domain.errors import InputError

MOST_CHARACTERS = 100_000
DEEPEST = 20  # brackets within brackets: a meal needs two, and the reader's time grows with their square


def load_mapping(text: str, what: str) -> dict[str, Any]:
    """The mapping that a YAML text holds. Raises InputError with line and reason otherwise."""
    import yaml

    if len(text) > MOST_CHARACTERS:
        raise InputError(f"{what} is longer than {MOST_CHARACTERS} characters.", "Split it into several files.")
    _check_depth(text, what)
    try:
        for token in yaml.scan(text, Loader=yaml.SafeLoader):
            if isinstance(token, yaml.AnchorToken | yaml.AliasToken | yaml.TagToken):
                line = token.start_mark.line + 1
                raise InputError(
                    f"{what}, line {line}: anchors, aliases and tags are not accepted.",
                    "Write the value out.",
                )
        loaded = yaml.safe_load(text)
    except InputError:
        raise
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = f", line {mark.line + 1}" if mark else ""
        reason = getattr(error, "problem", None) or "it is not YAML"
        raise InputError(f"{what}{place}: {reason}.", "Check indentation, colons and quotes.") from error
    except (RecursionError, ValueError) as error:
        raise InputError(f"{what} cannot be read as YAML.", "Check indentation, colons and quotes.") from error
    if not isinstance(loaded, dict):
        raise InputError(f"{what} does not hold 'name: value' lines.", "Begin with a line such as 'title: Lunch'.")
    _check_letters(loaded, what)
    return loaded


def _check_depth(text: str, what: str) -> None:
    """Refuse brackets within brackets beyond any use, before the reader spends its time on them."""
    depth = 0
    for each in text:
        depth = max(0, depth + (each in "[{") - (each in "]}"))
        if depth > DEEPEST:
            raise InputError(f"{what} has more than {DEEPEST} brackets that are not closed.", "Write it as lines.")


def _check_letters(loaded: dict[str, Any], what: str) -> None:
    """Refuse halves of surrogate pairs, which escapes can make and no file or page can hold."""
    try:
        json.dumps(loaded, ensure_ascii=False, default=str, skipkeys=True).encode()
    except UnicodeEncodeError as error:
        raise InputError(f"{what} holds a character that is no character.", "Type the letter itself.") from error


def keys_known(found: dict[str, Any], known: set[str], what: str) -> None:
    """Raise InputError when the mapping has a key that means nothing here (a misspelling, mostly)."""
    strange = [str(key) for key in found if key not in known]
    if strange:
        raise InputError(f"{what}: '{strange[0]}' is not a known field.", f"Known fields: {', '.join(sorted(known))}.")
