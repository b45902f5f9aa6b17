"""The errors of the project; the picture of the tree is in the head of the package."""


class DomainError(ValueError):
    """Parent of every error that lowsimmer raises on purpose."""


class RangeError(DomainError):
    """A range that cannot be: low above high, value outside, not finite, negative."""


class RecordError(DomainError):
    """A record whose fields contradict each other."""


class InputError(DomainError):
    """What a person gave cannot be used.

    The sentence says what was given and what was expected; `next_step` says what to do about it.
    The command line prints both on one line and exits with status 2.
    """

    def __init__(self, sentence: str, next_step: str = "") -> None:
        super().__init__(f"{sentence} {next_step}".strip())
        self.sentence = sentence
        self.next_step = next_step
