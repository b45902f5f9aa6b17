"""What our pictures share: a scale, a whisker, the frame of an SVG document, and saving them.

All are readable without colour: greys, one hatch, length and position; a title and a description for screen readers.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

from lowsimmer.domain.errors import InputError

WIDTH = 900
PAPER = "#fdfcf8"

HATCH = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#d9d4c7"/><line x1="0" y1="0" x2="0" y2="6" stroke="#7a7466" stroke-width="2"/>'
    "</pattern></defs>\n"
)


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight axis from `low` to `high`, `length` long; what lies beyond an end is drawn at that end."""

    low: float
    high: float
    length: float

    def at(self, number: float) -> float:
        """How far along the axis a number stands."""
        inside = min(max(number, self.low), self.high)
        return (inside - self.low) / (self.high - self.low) * self.length

    def beyond(self, number: float) -> bool:
        """True when a number lies past the high end."""
        return number > self.high

    def before(self, number: float) -> bool:
        """True when a number lies past the low end."""
        return number < self.low


def whisker(low: float, high: float, middle: float, beyond: bool, style: str = 'stroke="#222"') -> str:
    """A level line from `low` to `high` (places in the picture) with ends, or with an arrow where it goes on."""
    if high - low < 0.5:
        return ""
    back = high - 7
    end = (
        f'<path d="M{back:.1f} {middle - 5} L{high:.1f} {middle} L{back:.1f} {middle + 5}" fill="none" {style}/>'
        if beyond
        else f'<line x1="{high:.1f}" y1="{middle - 5}" x2="{high:.1f}" y2="{middle + 5}" {style}/>'
    )
    return (
        f'<line x1="{low:.1f}" y1="{middle}" x2="{high:.1f}" y2="{middle}" {style}/>'
        f'<line x1="{low:.1f}" y1="{middle - 5}" x2="{low:.1f}" y2="{middle + 5}" {style}/>{end}\n'
    )


def document(title: str, description: str, height: float, body: str) -> str:
    """An SVG document of our width: title and description for screen readers, paper, then the body."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'aria-labelledby="title description" font-family="Georgia, serif" font-size="15" fill="#222">\n'
        f'<title id="title">{escape(title)}</title>\n<desc id="description">{escape(description)}</desc>\n'
        f"{HATCH}"
        f'<rect width="{WIDTH}" height="{height}" fill="{PAPER}"/>\n'
        f"{body}</svg>\n"
    )


def heading(words: str, legend: str) -> str:
    """The two lines on top of a picture."""
    return (
        f'<text x="24" y="30" font-size="19">{escape(words)}</text>\n'
        f'<text x="24" y="52" font-size="13" fill="#555">{escape(legend)}</text>\n'
    )


def save_pictures(folder: str, pictures: dict[str, str]) -> list[str]:
    """Write pictures by file name into a folder, which is made. Raises InputError when that cannot be done."""
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
        for name, picture in pictures.items():
            (Path(folder) / name).write_text(picture, encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError(f"'{folder[:60]}' cannot be written: {reason}.", "Name another folder with --svg.") from error
    return list(pictures)
