"""From a read line to one food in one form, or to a refusal with suggestions.

`names` is the index of names, `forms` the words that change form or part, `match` the decision. A near match is never
taken: closeness is used to suggest, and the cook decides.
"""
