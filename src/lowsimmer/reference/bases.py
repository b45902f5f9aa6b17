"""From the basis a figure is printed on to grams per 100 g of the food as it is: every conversion, in one place.

- **Dry matter**: a figure per 100 g of dry matter times the share that is not water.
- **Monosaccharide equivalents**: what a sugar weighs once water has split it into single hexoses. A chain of n hexoses
  weighs 180.156 n - 18.015 (n - 1) and gives 180.156 n. McCance and Widdowson's tables print carbohydrates so, with
  the factors rounded: disaccharides 1.05, raffinose 1.07, stachyose 1.08, verbascose 1.09, starch 1.10 (introduction
  to the tables; also https://blog.nutritionprogram.co.uk/2015/08/23/). Here the factor of the molar masses is used:
  it lies within 0.004 of theirs for sugars; for starch, an endless chain, it is 1.11.
- **Portion**: a figure per portion divided by the weight of the portion.

All three multiply by one number, so that value, low, high and sd go through alike.
"""

from __future__ import annotations

import math

from lowsimmer.domain.errors import RangeError

HEXOSE = 180.156  # g per mol of glucose, fructose or galactose
WATER = 18.015  # g per mol
ENDLESS = math.inf  # the chain length of starch

# Hexoses in one molecule, of the analytes that are one sugar. Fructan and GOS are mixtures: no single length.
HEXOSES: dict[str, int] = {
    "fructose": 1,
    "glucose": 1,
    "lactose": 2,
    "raffinose": 3,
    "stachyose": 4,
    "verbascose": 5,
}


def from_dry(value: float, water: float) -> float:
    """A figure per 100 g of dry matter as one per 100 g fresh; `water` in g per 100 g. RangeError unless 0 to <100."""
    if not 0 <= water < 100:
        raise RangeError(f"water is from 0 to below 100 g per 100 g, given {water:g}")
    return value * ((100 - water) / 100)


def from_portion(value: float, portion_g: float) -> float:
    """A figure per portion as one per 100 g. RangeError for a portion that weighs nothing."""
    if not 0 < portion_g < math.inf:
        raise RangeError(f"a portion weighs more than 0 g, given {portion_g:g}")
    return value * (100 / portion_g)


def equivalents(hexoses: float) -> float:
    """Grams of single hexoses from one gram of a chain of so many (ENDLESS: starch). RangeError below one."""
    if not hexoses >= 1:
        raise RangeError(f"a chain has one hexose or more, given {hexoses:g}")
    return HEXOSE / (HEXOSE - WATER * (1 - 1 / hexoses))


def from_equivalents(value: float, hexoses: float) -> float:
    """Monosaccharide equivalents as the weight of the sugar itself, a chain of so many hexoses."""
    return value / equivalents(hexoses)
