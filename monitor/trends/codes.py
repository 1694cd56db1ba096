"""The small vocabularies of the analysis: every code and the words for it."""

from enum import IntEnum
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


class Refusal(IntEnum):
    """Why some or all numbers of an outlook are missing."""

    NONE = 0
    NO_READINGS = 1
    NOT_FINITE = 2
    TIME_ORDER = 3
    NOISE_MISSING = 4
    LIMIT_MISSING = 5
    ALL_DOUBTED = 6
    UNIT_DOUBTED = 7
    AUDIT_FAILED = 8


REFUSAL_WORDS: Final = MappingProxyType(
    {
        Refusal.NONE: "",
        Refusal.NO_READINGS: "there are no readings yet",
        Refusal.NOT_FINITE: (
            "a reading, its time or its noise is not a finite number; correct it"
        ),
        Refusal.TIME_ORDER: "the readings are not in order of time; check the dates",
        Refusal.NOISE_MISSING: (
            "the noise of a reading is zero or negative; state the instrument"
        ),
        Refusal.LIMIT_MISSING: (
            "neither a watch nor an act limit is given, so no date can be named"
        ),
        Refusal.ALL_DOUBTED: (
            "the readings contradict one another so much that none can be trusted; "
            "repeat the reading"
        ),
        Refusal.UNIT_DOUBTED: (
            "a reading looks as if it were in another unit; check it before it is used"
        ),
        Refusal.AUDIT_FAILED: (
            "past forecasts for readings of this kind have failed too often; "
            "no date is given until the law of movement is reviewed"
        ),
    }
)


class Regime(IntEnum):
    """The four ways a support may move, in the order of the prior."""

    STILL = 0
    MOVING = 1
    FAST = 2
    BROAD = 3


class EvidenceWord(IntEnum):
    """What an e-value means in words (Ville 1939; thresholds 3, 20 and 100)."""

    NONE = 0
    POSSIBLE = 1
    MOVING = 2
    CERTAIN = 3


EVIDENCE_WORDS: Final = MappingProxyType(
    {
        EvidenceWord.NONE: "no evidence of movement",
        EvidenceWord.POSSIBLE: "possible movement",
        EvidenceWord.MOVING: "moving",
        EvidenceWord.CERTAIN: "certainly moving",
    }
)


class LookRule(IntEnum):
    """Which rule sets the next look."""

    ORDINARY = 0
    HALF_TIME = 1
    FIRST_YEARS = 2
    UNCONFIRMED = 3
    SHORTEST = 4
    ACT_NOW = 5


LOOK_WORDS: Final = MappingProxyType(
    {
        LookRule.ORDINARY: "the ordinary interval",
        LookRule.HALF_TIME: "half of the time to the early date",
        LookRule.FIRST_YEARS: "with three readings or fewer the gaps stay short",
        LookRule.UNCONFIRMED: "the newest reading wants repeating",
        LookRule.SHORTEST: "the shortest useful interval",
        LookRule.ACT_NOW: "the limit is reached or may be before two more visits",
    }
)


class LawSet(IntEnum):
    """Which laws of movement in time a quantity may follow."""

    STEADY = 0
    GROUND = 1
    WALL = 2
    WOUND = 3
    CABLE = 4


class Law(IntEnum):
    """A law of movement in time, counted from installation or loading."""

    LINEAR = 0
    LOGARITHMIC = 1
    SLOWING = 2
    ACCELERATING = 3
    CORROSION = 4
    SATURATING = 5


class Relation(IntEnum):
    """How a reading stands to the number written down."""

    BELOW = -1
    EQUAL = 0
    ABOVE = 1
