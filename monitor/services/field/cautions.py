"""What someone at the foot of the tree should have before their eyes.

Common practice, no source.
"""

from collections.abc import Iterable
from types import MappingProxyType

from monitor.domain.vocabulary import MemberKind

ALWAYS = (
    "Screening only. Local code, a qualified arborist and a licensed engineer decide.",
    "Trees and limbs can fail without warning, also on calm days. If it looks wrong, "
    "keep people out first and measure later.",
)
BY_KIND = MappingProxyType(
    {
        MemberKind.POST: (
            "Never stand under the limb while a post is loosened, jacked or removed.",
            "An ultrasonic gauge reads too thick on rust and paint.",
        ),
        MemberKind.CABLE: (
            "A tight cable stores energy: stay out of the line of pull.",
            "The hardware is no climbing anchor.",
        ),
        MemberKind.GUY: ("A tight guy stores energy: stay out of the line of pull.",),
        MemberKind.PIN: (
            "Closed bark does not mean sound wood.",
            "Hidden parts are not inspected: say so, do not call them sound.",
        ),
        MemberKind.ROD: ("Closed bark does not mean sound wood.",),
    }
)


def cautions_for(kinds: Iterable[MemberKind]) -> tuple[str, ...]:
    """The cautions for a support with such members, each once."""
    own = [line for kind in sorted(set(kinds)) for line in BY_KIND[kind]]
    return tuple(dict.fromkeys((*ALWAYS, *own)))
