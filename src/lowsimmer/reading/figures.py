"""Opening a file of the practitioner's own figures."""

from __future__ import annotations

from lowsimmer.reading.files import read_text
from lowsimmer.reference.own import OwnFigures, read_own


def open_figures(name: str) -> OwnFigures:
    """The figures of a CSV file ('-' is standard input). Raises InputError for one that cannot be used whole."""
    return read_own(read_text(name), "standard input" if name == "-" else name)


def figures_named(name: str | None) -> OwnFigures | None:
    """As `open_figures`; None where no file is named."""
    return None if name is None else open_figures(name)
