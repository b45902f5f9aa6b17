"""From text to lines, dishes and meals. Nothing here knows a food; see `matching`.

`line` reads one ingredient line, `dish` a dish file, `meal` a meal file, `jsonld` a schema.org Recipe. Every reader
takes text and returns records with their findings; what cannot be read is a finding or an InputError, never a guess.
"""
