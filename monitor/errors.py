"""What can go wrong, in one tree.

Every error carries a short stable `code` (it anchors a line in DEVELOPERS.md) and a
sentence that names the thing, what was found, what was expected and what to do.

    MonitorError
    ├─ InvalidInput
    │   ├─ UnclearNumber
    │   └─ ImportRejected
    ├─ NotFound
    ├─ Conflict
    ├─ NotAllowed
    ├─ InsufficientData
    ├─ StoreError
    │   ├─ StoreUnavailable
    │   └─ SchemaOutOfDate
    └─ DeliveryError
"""

from dataclasses import dataclass


class MonitorError(Exception):
    """Anything this program says no to, in words a person can act on.

    Parameters
    ----------
    message : the sentence shown to people
    code : short and stable, such as "num-002"
    """

    code = "err-000"

    def __init__(self, message: str, *, code: str = "") -> None:
        super().__init__(message)
        self.message = message
        if code:
            self.code = code

    def __str__(self) -> str:
        return self.message


class InvalidInput(MonitorError):
    """What was given can not be taken; the person can mend it.

    Parameters
    ----------
    field : name of the field or column that is wrong, empty when it is the whole
    """

    code = "inp-001"

    def __init__(self, message: str, *, field: str = "", code: str = "") -> None:
        super().__init__(message, code=code)
        self.field = field


class UnclearNumber(InvalidInput):
    """A number as typed is ambiguous, impossible or in a unit that does not fit."""

    code = "num-001"


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing wrong with one cell of a file."""

    row: int
    column: str
    found: str
    expected: str

    def __str__(self) -> str:
        where = f"row {self.row}" + (f", column “{self.column}”" if self.column else "")
        found = f"found “{self.found}”, " if self.found else ""
        return f"{where}: {found}expected {self.expected}"


class ImportRejected(InvalidInput):
    """A file was refused; nothing of it was written.

    Parameters
    ----------
    problems : every bad row, in the order of the file
    """

    code = "imp-001"

    def __init__(
        self, message: str, *, problems: tuple[RowProblem, ...] = (), code: str = ""
    ) -> None:
        super().__init__(message, code=code)
        self.problems = problems


class NotFound(MonitorError):
    """There is nothing under that name."""

    code = "nof-001"

    def __init__(self, kind: str, key: str, *, hint: str = "") -> None:
        super().__init__(f"No {kind} “{key}” in the record.{' ' if hint else ''}{hint}")
        self.kind = kind
        self.key = key


class Conflict(MonitorError):
    """The record already says something else."""

    code = "con-001"


class NotAllowed(MonitorError):
    """The account may not do that."""

    code = "acc-001"


class InsufficientData(MonitorError):
    """The analysis can not conclude; a page shows it as a sentence, not as an error."""

    code = "dat-001"


class StoreError(MonitorError):
    """The database did not do what was asked."""

    code = "sto-001"


class StoreUnavailable(StoreError):
    """The database can not be reached or is busy beyond patience."""

    code = "sto-002"


class SchemaOutOfDate(StoreError):
    """The database was made by another version of this program."""

    code = "sto-003"

    def __init__(self, found: str, expected: str) -> None:
        advice = (
            "It was made by a newer program: install that one. Nothing was changed."
            if found > expected
            else "Run “underprop setup” once; it keeps what is recorded."
        )
        super().__init__(
            f"The database is at revision {found or 'none'}, this program needs "
            f"{expected}. {advice}"
        )


class DeliveryError(MonitorError):
    """A message could not be delivered.

    Parameters
    ----------
    permanent : whether trying again can not help
    """

    code = "del-001"

    def __init__(self, message: str, *, permanent: bool) -> None:
        super().__init__(message)
        self.permanent = permanent
