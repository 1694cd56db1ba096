"""Deciding at the desk what a form from the field left open."""

import json
from collections.abc import Mapping
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.field_tasks import FieldTask, Settled
from monitor.errors import InvalidInput, NotFound
from monitor.services.field.answers import Answer, Question, Receipt
from monitor.services.field.body import submission_from
from monitor.services.field.form import Submission
from monitor.services.field.outlines import with_measures
from monitor.services.field.questions import question_of
from monitor.services.field.submission import submit
from monitor.services.field.tasks import open_task, settle
from monitor.services.recording.checks import Stamp
from monitor.services.recording.dossier import dossier_of
from monitor.store import Session
from monitor.store.photos import PhotoFiles


def what_stands_in_the_way(
    session: Session, task: FieldTask, stamp: Stamp
) -> Question | None:
    """Why a form that was set aside can not be recorded as it is, and the choices."""
    try:
        form = _form(task, {})
        dossier = dossier_of(session, form.command.support)
    except (InvalidInput, NotFound) as error:
        return Question("support", error.message)
    return question_of(session, dossier, form, stamp)


def record_set_aside(
    session: Session,
    files: PhotoFiles,
    wanted: tuple[UUID, Mapping[str, object]],
    stamp: Stamp,
) -> Answer:
    """Record a form that was set aside, with what the person chose to change.

    The task is settled only by a receipt; a question leaves everything as it was.

    Raises
    ------
    NotFound, Conflict : the task is not open
    InvalidInput : the form is of another version
    """
    key, changes = wanted
    task = open_task(session, key)
    form = with_measures(_form(task, changes), files)
    answer = submit(session, form, files, stamp)
    if isinstance(answer, Receipt):
        settle(session, key, Settled.RECORDED, stamp)
    return answer


def _form(task: FieldTask, changes: Mapping[str, object]) -> Submission:
    """The form under an id of its own: the first one has its receipt already."""
    content = {**task.content, **changes, "id": str(new_id())}
    return submission_from(json.dumps(content).encode(), "")
