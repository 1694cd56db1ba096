"""All lists of an export, each with its columns told in a dictionary."""

from monitor.exchange.columns import OutTable, dictionary_of
from monitor.services.exporting.analyst_lists import (
    outlook_list,
    quantity_list,
    reading_list,
    standing_list,
)
from monitor.services.exporting.chosen import Choice, chosen
from monitor.services.exporting.inspection_list import inspection_list, visits_of
from monitor.services.exporting.support_list import support_list
from monitor.services.exporting.work_list import work_list
from monitor.store import Session

READ_BACK = ("supports", "inspections", "works")
"""Lists that the import takes, in the order in which it wants them."""


def lists_of(session: Session, choice: Choice) -> tuple[OutTable, ...]:
    """The record as lists; the first three can be imported again.

    They hold what stands today. What was said before a correction, photographs,
    positions of single trees and the ledger travel in the archive.

    Raises
    ------
    NotFound : there is no such site, owner or kind of member
    """
    found = chosen(session, choice)
    visits = visits_of(session, found)
    tables = (
        support_list(session, found),
        inspection_list(found, visits),
        work_list(session, found, visits),
        reading_list(found, visits),
        outlook_list(session, found),
        standing_list(session, found),
        quantity_list(),
    )
    return (*tables, dictionary_of(tables))
