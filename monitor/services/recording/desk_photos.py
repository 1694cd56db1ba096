"""Adding a photograph at the desk, to a look or to the support alone."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.inspections import Photo
from monitor.errors import Conflict, InvalidInput
from monitor.services.recording.checks import spoken
from monitor.services.recording.dossier import dossier_of
from monitor.services.recording.photos import PhotoCommand, Subject, attach
from monitor.store import Session, records
from monitor.store.photos import PhotoFiles


@dataclass(frozen=True, slots=True)
class NewPhoto:
    """A photograph that is here, whole.

    Attributes
    ----------
    look : root of the inspection it belongs to, empty for none
    """

    sha256: str
    caption: str
    look: str
    taken_on: date | None


def looks_of(session: Session, code: str) -> tuple[tuple[UUID, str], ...]:
    """Inspections a photograph can belong to, newest first, with words for them."""
    visits = dossier_of(session, code).inspections.values()
    standing = [visit for visit in visits if not visit.withdrawn]
    standing.sort(key=lambda visit: visit.inspected_on, reverse=True)
    return tuple(
        (v.root_id, f"{spoken(v.inspected_on)}, {v.inspector}") for v in standing
    )


def add_photo(
    session: Session,
    files: PhotoFiles,
    code: str,
    new: NewPhoto,
    *,
    by: tuple[str, datetime],
) -> Photo:
    """Tie a photograph to a support.

    Raises
    ------
    NotFound : no such support
    InvalidInput : no such look
    Conflict : the support has this photograph already
    """
    dossier = dossier_of(session, code)
    support = dossier.support
    if records.PHOTOS.find(session, support_id=support.id, sha256=new.sha256):
        raise Conflict(f"{support.code} has this photograph already.")
    look = next((root for root in dossier.inspections if str(root) == new.look), None)
    if new.look and look is None:
        raise InvalidInput(f"{support.code} has no such look.", field="look")
    taken_on = dossier.inspections[look].inspected_on if look else new.taken_on
    members = {key: member.id for key, member in dossier.members.items()}
    subject = Subject(support.code, support.id, look, members)
    photo = PhotoCommand(new.sha256, new.caption, "", taken_on)
    (made,) = attach(session, files, [photo], subject, by=by)
    return made
