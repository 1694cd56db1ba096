"""What every screening result carries beside its numbers."""

from dataclasses import dataclass

from monitor.mechanics.guard import Floats

CAUTION = (
    "Screening only. Local code, a qualified arborist and a licensed engineer decide."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Screening:
    """A result with its method, what it took for granted and what was not there.

    Parameters
    ----------
    method : name of the published method, one method to one number
    assumed : sentences, each a thing taken for granted
    missing : sentences, each a thing not recorded that would sharpen the result
    caution : stands beside the number wherever it is shown
    """

    method: str
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    caution: str = CAUTION


@dataclass(frozen=True, slots=True, eq=False)
class Interval:
    """A value with the bounds that hold nine times in ten (5 % and 95 %)."""

    low: Floats
    middle: Floats
    high: Floats
