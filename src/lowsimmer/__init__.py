"""Lowsimmer: from a recipe's text to grams of each FODMAP group per serving.

The folders are the pipeline, in this order::

    reading     text                  -> lines, dishes, meals
    matching    lines                 -> foods in a stated form
    measuring   lines and foods       -> grams, with a range
    reference   the data files        -> foods, compositions, limits, each figure with its pedigree
    loads       grams and composition -> loads, verdicts, the largest serving that fits
    publishing  results               -> words, pictures, JSON

`domain` holds the records that travel between them and imports nothing else of ours.
"""

__version__ = "0.1.0"
