"""The words of the trade as frozen records that check themselves.

Nothing here reads a file, knows a food by name or imports another room of the house. A record that exists
is a record that makes sense: a low bound is never above a high one, grams are never negative, and an
unknown is `None` or an `Unknown`, never zero. Each broken rule raises one named error under `DomainError`::

    DomainError
    ├── RangeError        a range out of order, not finite, or negative where it may not be
    ├── RecordError       a record whose fields contradict each other
    └── InputError        what a person gave cannot be used; carries the next step to take
"""
