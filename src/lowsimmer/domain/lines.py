"""What a cook wrote, once read: a line of ingredients, and the dishes and plates that are made of them."""

from __future__ import annotations

from dataclasses import dataclass, field

from lowsimmer.domain.errors import RecordError
from lowsimmer.domain.findings import Finding
from lowsimmer.domain.ranges import Range


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit: `2 cup`, `1-2 clove`, `0.5` of nothing (a count, unit '').

    `size` is small, medium, large or empty. `pack` is what stands on a container ("1 x 400 g can": one can,
    pack 400 g). `heap` scales a spoon or cup that is heaped, rounded, scant or generous. `plus` is added to it
    ("1 cup plus 2 tablespoons").
    """

    number: Range
    unit: str = ""
    size: str = ""
    pack: Amount | None = None
    heap: Range | None = None
    plus: Amount | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One ingredient line, read but not yet matched to a food.

    `name` is what is called for, `preparation` what is done to it, `notes` what stood in brackets. A choice
    ("a or b") keeps the other readings in `alternatives`; a pair ("salt and pepper") keeps the rest in `together`.
    `informal` marks amounts like a pinch or 'to taste'.
    """

    text: str
    name: str
    amount: Amount | None = None
    also: Amount | None = None
    preparation: str = ""
    notes: tuple[str, ...] = ()
    informal: bool = False
    optional: bool = False
    alternatives: tuple[Line, ...] = ()
    together: tuple[Line, ...] = ()
    component: str = ""
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Dish:
    """A dish as written: title, how many it serves, its lines (by component) and the steps of its method."""

    title: str
    serves: float
    lines: tuple[Line, ...]
    method: tuple[str, ...] = ()
    region: str = ""
    findings: tuple[Finding, ...] = ()
    extra: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.serves > 0:
            raise RecordError(f"a dish serves more than nothing, given {self.serves}")
        if not self.title:
            raise RecordError("a dish needs a title")


@dataclass(frozen=True, slots=True)
class Portion:
    """How much of a dish one person eats: so many servings, and the words in which that was given.

    `spread` is the range of the servings where they are only about so many. `amount` is what is eaten by weight, or by
    spoon or cup; its servings are None until the dish has been weighed (`measuring.portions`).
    """

    dish: Dish
    servings: float | None
    words: str = ""
    spread: Range | None = None
    amount: Amount | None = None

    def __post_init__(self) -> None:
        if self.servings is None and self.amount is None:
            raise RecordError("a portion is given in servings or by weight")
        if self.servings is not None and not self.servings > 0:
            raise RecordError(f"a portion is more than nothing, given {self.servings}")


@dataclass(frozen=True, slots=True)
class Plate:
    """What one person eats in one sitting: portions of several dishes."""

    title: str
    portions: tuple[Portion, ...]
    findings: tuple[Finding, ...] = ()

    def __post_init__(self) -> None:
        if not self.portions:
            raise RecordError("a plate needs at least one portion")
