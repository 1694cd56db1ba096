"""What a logger sends: many values of one quantity at one mark, kept as they came."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID


@dataclass(frozen=True, slots=True)
class LoggerBatch:
    """The values of one mark and quantity out of one sending.

    Attributes
    ----------
    sending : id of the sending; the same content sent again has the same
    first_at, last_at, count : of its values
    content : `{"at": [...], "value": [...]}`; seconds since 1970 UTC, canonical unit
    """

    id: UUID
    sending: UUID
    mark_id: UUID
    quantity: str
    first_at: datetime
    last_at: datetime
    count: int
    content: dict[str, list[float]]
    recorded_by: str
    recorded_at: datetime
