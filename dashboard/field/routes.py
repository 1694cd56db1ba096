"""Addresses of the revisit form. All of them lie behind the gate."""

from dataclasses import asdict
from urllib.parse import quote

from flask import Blueprint, Response, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.field import marker_page, papers, receive
from dashboard.field.answer import as_json, said_no
from dashboard.field.shell import PAGE, WORKER, shell
from monitor.domain.methods import METHODS
from monitor.domain.quantities import QUANTITIES
from monitor.domain.vocabulary import InspectionKind, LeafState
from monitor.errors import InvalidInput, MonitorError, NotFound
from monitor.services.field import rounds as field_round
from monitor.services.field.rounds import RoundChoice


def field_blueprint(context: AppContext) -> Blueprint:
    """Everything under /field/."""
    field = Blueprint("field", __name__, url_prefix="/field")
    field.register_error_handler(MonitorError, said_no)
    _add_shell(field)
    _add_round(field, context)
    papers.add_routes(field, context)
    marker_page.add_routes(field)
    receive.add_routes(field, context)
    return field


def _add_shell(field: Blueprint) -> None:
    @field.get("/")
    def page() -> Response:
        return shell().answer(PAGE)

    @field.get("/service-worker.js")
    def worker() -> Response:
        return shell().worker()

    @field.get("/web/<name>")
    def file(name: str) -> Response:
        if name not in shell().files or name == WORKER:
            raise NotFound("file", name)
        return shell().answer(name)

    @field.get("/tag/<code>")
    def tag(code: str) -> AnyResponse:
        return redirect(f"/field/#/{quote(code, safe='')}")


def _add_round(field: Blueprint, context: AppContext) -> None:
    @field.get("/api/start")
    def start() -> Response:
        with context.store.read_session() as session:
            sites = field_round.sites_with_supports(session)
        return as_json({"sites": sites, **_who(context), **_words()})

    @field.get("/api/round")
    def round_() -> Response:
        now = context.clock.now()
        with context.store.read_session() as session:
            made = field_round.round_of(session, _choice(), now=now)
        return as_json({**asdict(made), **_who(context), **_words()})


def _who(context: AppContext) -> dict[str, object]:
    here = signed_in()
    return {
        "me": here.account.name,
        "may_record": here.may_record,
        "now": context.clock.now().isoformat(),
    }


def _words() -> dict[str, object]:
    """Catalogues the form needs without a network."""
    return {
        "finding_codes": field_round.finding_codes(),
        "grades": field_round.grades(),
        "methods": dict(METHODS),
        "kinds": [kind.value for kind in InspectionKind],
        "leaves": [leaf.value for leaf in LeafState],
        "quantities": {
            q.name: {
                "label": q.label,
                "unit": q.unit,
                "sign": q.sign,
                "low": q.low,
                "high": q.high,
                "kinds": [kind.value for kind in q.kinds],
            }
            for q in QUANTITIES.values()
        },
    }


def _choice() -> RoundChoice:
    within = request.args.get("within", "").strip()
    if within and not (within.isdecimal() and int(within) <= 36_525):
        raise InvalidInput(
            f"“{within[:20]}” is no span; give a number of days.", field="within"
        )
    codes = request.args.get("codes", "").replace(",", " ").split()
    return RoundChoice(
        within_days=int(within) if within else None,
        site=request.args.get("site", "").strip(),
        codes=tuple(codes),
    )
