"""What every screening result carries beside its numbers."""

from dataclasses import dataclass

import numpy as np

from monitor.mechanics.guard import Floats, plain, positive, within

Z90 = 1.6448536269514722  # standard deviations from the middle to the 95 % bound

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


def spread_interval(middle: Floats, spread: Floats) -> Interval:
    """Return the 5 % and 95 % bounds of a lognormal about its median.

    Parameters
    ----------
    spread : standard deviation over the mean, 0.4 for plus or minus 40 %
    """
    m = positive("middle", middle, "")
    log_sd = np.sqrt(np.log1p(within("spread", spread, "", (0.0, 2.0)) ** 2))
    reach = np.exp(Z90 * log_sd)
    return Interval(plain(m / reach), plain(m), plain(m * reach))
