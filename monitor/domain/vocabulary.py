"""The words we use, each once. Values are what is stored; labels are what is shown."""

from enum import StrEnum


class MemberKind(StrEnum):
    """What kind of thing one member of a support is."""

    POST = "post"
    PIN = "pin"
    CABLE = "cable"
    ROD = "rod"
    GUY = "guy"


class InspectionKind(StrEnum):
    """Why someone looked."""

    BASELINE = "baseline"
    ROUTINE = "routine"
    DETAILED = "detailed"
    AFTER_EVENT = "after event"
    AFTER_WORK = "after work"


class Answer(StrEnum):
    """What became of a reading that was wanted. The three noes are kept apart.

    That nobody looked at all is the absence of an inspection, not an answer.
    """

    MEASURED = "measured"
    NOT_MEASURED = "not measured"
    COULD_NOT_REACH = "could not reach"
    WITHDRAWN = "withdrawn"


class Occupancy(StrEnum):
    """How often someone is where the supported part would fall."""

    CONSTANT = "constant"
    FREQUENT = "frequent"
    OCCASIONAL = "occasional"
    RARE = "rare"


class Consequence(StrEnum):
    """What a failure would do to the target."""

    SEVERE = "severe"
    SIGNIFICANT = "significant"
    MINOR = "minor"


class Exposure(StrEnum):
    """Corrosivity of the air at a site, ISO 9223."""

    C1 = "C1"
    C2 = "C2"
    C3 = "C3"
    C4 = "C4"
    C5 = "C5"
    CX = "CX"


class WorkKind(StrEnum):
    """What was done to a support."""

    ADJUSTMENT = "adjustment"
    REPAIR = "repair"
    REPAINT = "repaint"
    REPLACEMENT = "replacement"
    REMOVAL = "removal"
    NEW_DATUM = "new datum"


class EventKind(StrEnum):
    """What calls for extra looks."""

    STORM = "storm"
    ICE = "ice"
    SNOW = "snow"
    EARTHQUAKE = "earthquake"
    VEHICLE_STRIKE = "vehicle strike"
    EXCAVATION = "excavation"
    FLOOD = "flood"


class LeafState(StrEnum):
    """Whether the crown carried leaves when the readings were taken."""

    IN_LEAF = "in leaf"
    LEAFLESS = "leafless"
    TURNING = "turning"


class Grade(StrEnum):
    """How grave a finding is."""

    NOTE = "note"
    WATCH = "watch"
    ACT = "act"
    MAKE_SAFE = "make safe"

    @property
    def rank(self) -> int:
        """0 for a note up to 3 for make safe."""
        return list(Grade).index(self)


class Standing(StrEnum):
    """How a support stands, worst last."""

    HOLDING = "holding"
    WATCH = "watch"
    ACT = "act"
    MAKE_SAFE = "make safe"

    @property
    def rank(self) -> int:
        """0 for holding up to 3 for make safe."""
        return list(Standing).index(self)


class Harm(StrEnum):
    """Which way a quantity goes when things get worse."""

    UP = "up"
    DOWN = "down"
    BOTH = "both"
    AWAY = "away from the first position"
    NONE = "none"


class LimitBasis(StrEnum):
    """What a limit is counted from."""

    ABSOLUTE = "absolute"
    CHANGE = "change since the baseline"
    FRACTION = "fraction of the baseline"


class Role(StrEnum):
    """What an account may do; the finer rules come with the access page."""

    ADMINISTRATOR = "administrator"
    MANAGER = "manager"
    PLANNER = "planner"
    INSPECTOR = "inspector"
    OWNER = "owner"
    AUDITOR = "auditor"
