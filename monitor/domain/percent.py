"""How shares and probabilities are written."""

from typing import Final

_NARROW_SPACE: Final = "\u202f"


def percent(share: float) -> str:
    """Return a share as whole percent.

    Examples
    --------
    >>> percent(0.631).replace("\u202f", " ")
    '63 %'
    """
    return f"{100.0 * share:.0f}{_NARROW_SPACE}%"


def chance(probability: float) -> str:
    """Return a probability that is never quite nothing and never quite sure."""
    if probability < 0.005:
        return f"less than 1{_NARROW_SPACE}%"
    if probability > 0.995:
        return f"more than 99{_NARROW_SPACE}%"
    return percent(probability)
