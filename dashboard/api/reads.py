"""Every table of the record that a program may read, a page at a time."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from flask import request
from flask_smorest import Blueprint  # type: ignore[import-untyped]
from marshmallow import Schema, fields, validate

from dashboard.api.operations import Operation, adds
from dashboard.api.paging import LARGEST_PAGE, cursor_key, cursor_text
from dashboard.api.shapes import page_schema, schema_of
from dashboard.context import AppContext
from monitor.domain import conclusions, inspections, places, supports
from monitor.domain.events import Event
from monitor.domain.scheduling import DeferralEntry, PolicyVersion
from monitor.errors import InvalidInput, NotFound
from monitor.services.exporting.api_pages import page
from monitor.store import records
from monitor.store.pages import PageWish
from monitor.store.repository import Repository


@dataclass(frozen=True, slots=True)
class Resource:
    """One table as it is offered.

    Attributes
    ----------
    name : in the address
    says : one line for the description
    key : names of the fields that make its key
    by : fields that may be asked for, with how their text is read
    """

    name: str
    says: str
    record: type[Any]
    repository: Repository[Any]
    key: tuple[str, ...] = ("id",)
    by: tuple[str, ...] = ()
    of_support: bool = True


_SUPPORT = ("support_id",)
RESOURCES = (
    Resource("sites", "places with supports", places.Site, records.SITES,
             by=("code",), of_support=False),
    Resource("trees", "trees on sites", places.Tree, records.TREES,
             by=("site_id",), of_support=False),
    Resource("supports", "installed supports", supports.Support, records.SUPPORTS,
             by=("tree_id",)),
    Resource("members", "posts, pins, cables, rods, guys", supports.Member,
             records.MEMBERS),
    Resource("facts", "as-built facts of members", supports.Fact, records.FACTS,
             by=("member_id", "name")),
    Resource("marks", "spots where readings are taken", supports.Mark, records.MARKS,
             by=("member_id",)),
    Resource("inspections", "looks at a support", inspections.Inspection,
             records.INSPECTIONS, by=("root_id",)),
    Resource("readings", "numbers, as typed and in canonical units",
             inspections.Reading, records.READINGS,
             by=("inspection_id", "mark_id", "quantity")),
    Resource("findings", "coded observations", inspections.Finding, records.FINDINGS,
             by=("inspection_id",)),
    Resource("works", "adjustments, repairs, replacements", inspections.Work,
             records.WORKS),
    Resource("limits", "watch and act values set for one support",
             supports.LimitOverride, records.LIMIT_OVERRIDES, by=("series",)),
    Resource("policies", "versions of the duty-holder's policy", PolicyVersion,
             records.POLICIES, of_support=False),
    Resource("photos", "photographs, without their bytes", inspections.Photo,
             records.PHOTOS, by=("inspection_id",)),
    Resource("events", "storms and blows", Event, records.EVENTS, of_support=False),
    Resource("deferrals", "inspections put off, by whom and why", DeferralEntry,
             records.DEFERRALS),
    Resource("dues", "inspections that are owed, with their sentence",
             conclusions.Due, records.DUES, key=_SUPPORT),
    Resource("standings", "how supports stand: screening only",
             conclusions.SupportStanding, records.STANDINGS, key=_SUPPORT),
    Resource("outlooks", "what the readings of each series say: screening only",
             conclusions.Outlook, records.OUTLOOKS, key=("mark_id", "series"),
             by=("mark_id", "series")),
)  # fmt: skip


def add_reads(api: Blueprint, context: AppContext) -> None:
    """One address for each table, and one for each record that has an id."""
    for resource in RESOURCES:
        _add_pages(api, context, resource)
        if resource.key == ("id",):
            _add_one(api, context, resource)


def _add_pages(api: Blueprint, context: AppContext, resource: Resource) -> None:
    asked = _asked(resource)
    names = tuple(asked().fields)

    what = Operation(
        f"list_{resource.name}",
        f"/{resource.name}",
        f"List {resource.says}",
        page_schema(resource.record),
        asked=asked,
    )

    @adds(api, what)
    def listed(query: Mapping[str, Any]) -> dict[str, object]:
        _refuse_strange(names)
        equals = {name: query[name] for name in resource.by if name in query}
        after = cursor_key(query.get("after", ""), _takers(resource))
        with context.store.read_session() as session:
            wish = PageWish(query["limit"], after, equals=equals)
            found = page(session, resource.repository, wish, query.get("support", ""))
        is_last = len(found) < query["limit"]
        key = () if is_last else tuple(getattr(found[-1], n) for n in resource.key)
        return {"items": found, "next": cursor_text(key) if key else None}


def _add_one(api: Blueprint, context: AppContext, resource: Resource) -> None:
    what = Operation(
        f"get_{resource.name}",
        f"/{resource.name}/<string:key>",
        f"One of: {resource.says}",
        schema_of(resource.record),
    )

    @adds(api, what)
    def one(key: str) -> object:
        _refuse_strange(())
        try:
            wanted = UUID(key)
        except ValueError:
            raise NotFound(resource.name, key[:80]) from None
        with context.store.read_session() as session:
            return resource.repository.get(session, wanted)


def _asked(resource: Resource) -> type[Schema]:
    known: dict[str, fields.Field[Any]] = {
        "limit": fields.Integer(
            load_default=100, validate=validate.Range(1, LARGEST_PAGE)
        ),
        "after": fields.String(
            validate=validate.Length(max=400),
            metadata={"description": "the “next” of the page before"},
        ),
    }
    if resource.of_support:
        known["support"] = fields.String(
            validate=validate.Length(1, 200),
            metadata={"description": "code on the tag"},
        )
    for name in resource.by:
        known[name] = fields.UUID() if name.endswith("_id") else fields.String()
    return Schema.from_dict(known, name=f"Ask_{resource.name}")


def _refuse_strange(known: tuple[str, ...]) -> None:
    strange = next((name for name in request.args if name not in known), None)
    if strange is not None:
        raise InvalidInput(
            f"“{strange[:80]}” can not be asked for here"
            + (f", but {', '.join(known)}." if known else "."),
            field=strange[:80],
            code="api-002",
        )


def _takers(resource: Resource) -> tuple[Callable[[Any], Any], ...]:
    return tuple(UUID if name.endswith("id") else str for name in resource.key)
