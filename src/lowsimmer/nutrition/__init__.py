"""Nutrients of a serving or a plate, from the same weighed items as the loads.

What a table does not hold stays unknown: every sum tells how many grams of the serving it does not cover. Figures are
of the ingredients as they go in; losses in cooking and draining are not taken off yet.
"""
