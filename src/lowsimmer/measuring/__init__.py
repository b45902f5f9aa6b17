"""From amount and food to edible grams, with a range and the factors it is made of."""
