"""A file assessed for one profile and said for every phase: the call behind `assess` and `why`."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lowsimmer.domain.errors import InputError
from lowsimmer.domain.lines import Dish, Plate, Portion
from lowsimmer.loads.assess import Assessment, assess_parts
from lowsimmer.loads.draws import CASES, SEED, Draws
from lowsimmer.loads.mix import mix, portioned
from lowsimmer.loads.phases import PHASES, PhaseServing, phase_servings
from lowsimmer.reading.figures import figures_named
from lowsimmer.reading.meal import open_plate
from lowsimmer.reference.limits import profile as named_profile
from lowsimmer.reference.own import in_use, using


@dataclass(frozen=True, slots=True)
class Report:
    """One assessment and the servings by phase."""

    result: Assessment
    phases: list[PhaseServing]


@dataclass(frozen=True, slots=True)
class Terms:
    """How a file is judged: phase, a profile in place of the phase's, a region over the file's, seed of the draws."""

    phase: str = "restriction"
    profile: str | None = None
    region: str | None = None
    seed: int = SEED


USUAL = Terms()


def full_report(file: str, terms: Terms = USUAL, figures: str | None = None) -> Report:
    """Read a dish or a meal from a file and assess it. Raises InputError for what cannot be used.

    `figures` names a file of the practitioner's own figures; without one, those in use around the call count.
    """
    if terms.phase not in PHASES:
        raise InputError(f"'{terms.phase}' is not a phase.", f"Use one of {', '.join(PHASES)}.")
    with using(figures_named(figures) or in_use()):
        given = open_plate(file)
        return report(_in_region(given, terms.region), terms.profile or terms.phase, Draws(CASES, terms.seed))


def report(given: Dish | Plate, profile: str = "restriction", draws: Draws | None = None) -> Report:
    """Assess a dish (one serving of it) or a plate; the draws are made once for all profiles."""
    dish = given if isinstance(given, Dish) else None
    plate = given if isinstance(given, Plate) else Plate(given.title, (Portion(given, 1.0),), given.findings)
    parts = mix(portioned(plate), draws or Draws())
    wanted = dict.fromkeys((profile, *PHASES))
    assessed = {name: assess_parts(plate, parts, named_profile(name)) for name in wanted}
    if dish is not None:
        assessed = {name: replace(each, serves=dish.serves) for name, each in assessed.items()}
    return Report(assessed[profile], phase_servings(assessed, dish))


def _in_region(given: Dish | Plate, region: str | None) -> Dish | Plate:
    """A region on the command line rules over that of the files."""
    if not region:
        return given
    if isinstance(given, Dish):
        return replace(given, region=region)
    portions = tuple(replace(each, dish=replace(each.dish, region=region)) for each in given.portions)
    return replace(given, portions=portions)
