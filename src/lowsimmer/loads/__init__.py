"""From grams and composition to loads, verdicts and the largest serving that fits.

`draws` makes every uncertain figure into ten thousand cases, `mix` multiplies and adds them, `judge` compares with
the limits, `assess` puts a dish or a plate through all three, `phases` says the result in words.
"""
