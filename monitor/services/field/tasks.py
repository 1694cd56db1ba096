"""What forms from the field leave for the office to decide, and the decisions."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.field_tasks import FieldSettlement, FieldTask, Settled, TaskKind
from monitor.errors import Conflict, InvalidInput
from monitor.services.recording.checks import Stamp
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a task is made."""

    kind: TaskKind
    sentence: str
    content: Mapping[str, object]


def raise_task(
    session: Session,
    cause: Cause,
    of: tuple[UUID, str, UUID | None],
    stamp: Stamp,
) -> FieldTask:
    """Put something before the office.

    Parameters
    ----------
    of : id of the form, code of the support, root of the look if there is one
    """
    form_id, code, inspection_id = of
    task = FieldTask(
        new_id(), cause.kind, form_id, code, inspection_id, cause.sentence,
        cause.content, stamp.actor, stamp.now,
    )  # fmt: skip
    records.FIELD_TASKS.add(session, [task])
    change = "field task raised", f"field task {task.id}", values_of(task)
    append(session, [change], actor=stamp.actor, now=stamp.now)
    return task


def open_tasks(session: Session) -> tuple[FieldTask, ...]:
    """What is not decided yet, oldest first."""
    done = {one.task_id for one in records.FIELD_SETTLEMENTS.all(session)}
    tasks = [task for task in records.FIELD_TASKS.all(session) if task.id not in done]
    return tuple(sorted(tasks, key=lambda task: task.recorded_at))


def open_task(session: Session, key: UUID) -> FieldTask:
    """One task that is not decided yet.

    Raises
    ------
    NotFound : there is none of that id
    Conflict : it was decided before, saying how
    """
    task = records.FIELD_TASKS.get(session, key)
    done = records.FIELD_SETTLEMENTS.find(session, task_id=key)
    if done is not None:
        raise Conflict(
            f"{done.recorded_by} decided this before: {done.how.value}"
            + (f", {done.reason}." if done.reason else ".")
        )
    return task


def settle(
    session: Session, key: UUID, how: Settled, stamp: Stamp, *, reason: str = ""
) -> FieldSettlement:
    """Decide a task; leaving a form out wants a reason.

    Raises
    ------
    NotFound, Conflict : as `open_task`
    InvalidInput : the reason is missing
    """
    task = open_task(session, key)
    if how is Settled.NOT_TAKEN and not reason.strip():
        raise InvalidInput(
            f"Say why the look at {task.support} is not taken into the record; the "
            "form itself is kept.",
            field="reason",
        )
    done = FieldSettlement(key, how, reason.strip(), stamp.actor, stamp.now)
    records.FIELD_SETTLEMENTS.add(session, [done])
    change = "field task settled", f"field task {key}", values_of(done)
    append(session, [change], actor=stamp.actor, now=stamp.now)
    return done
