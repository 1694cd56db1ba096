"""Every address, and what it answers to whom: decided by hand, row by row.

The columns are nobody; an owner with an object of the own sites and with another
owner's; then auditor, inspector, planner, manager and administrator, for whom it makes
no difference whose the object is. Statuses: 401 sign in first, 403 not allowed, 404
not there (for you), 303 done and led on, 422 refused in words.
"""

COLUMNS = (
    "nobody", "owner, own", "owner, other", "auditor", "inspector", "planner",
    "manager", "administrator",
)  # fmt: skip

_ALL = "200 200 200 200 200 200 200 200"
_IN = "401 200 200 200 200 200 200 200"
_IN_REDIRECT = "401 302 302 302 302 302 302 302"
_DONE = "401 303 303 303 303 303 303 303"
_MISSING = "401 404 404 404 404 404 404 404"
_MISSING_FOR_ALL = "404 404 404 404 404 404 404 404"
_REFUSED = "401 422 422 422 422 422 422 422"
_RECORDERS_422 = "401 403 403 403 422 422 422 422"
_ADMIN = "401 404 404 404 404 404 404 303"

_PLANNERS_422 = "401 403 403 403 422 422 422 422"
_RECORDERS_415 = "401 403 403 403 415 415 415 415"

API_LISTS = (
    "deferrals", "dues", "events", "facts", "findings", "inspections", "limits",
    "marks", "members", "outlooks", "photos", "policies", "policy", "readings",
    "sites", "standings", "supports", "trees", "works", "openapi.json",
)  # fmt: skip
API_RECORDS = (
    "deferrals", "events", "facts", "findings", "inspections", "limits", "marks",
    "members", "photos", "policies", "readings", "sites", "trees", "works",
)  # fmt: skip
API_DEEDS = (
    "deferrals", "deferrals/withdrawals",
    "events", "events/corrections", "events/ends", "events/withdrawals",
    "inspections", "inspections/amendments", "inspections/withdrawals", "limits",
    "readings/corrections", "supports", "works", "works/amendments",
    "works/withdrawals",
)  # fmt: skip

MATRIX = {
    # pages and what Dash serves them with
    "GET /": _IN,
    "GET /<path:path>": _IN,
    "GET /_dash-component-suites/<string:package_name>/<path:fingerprinted_path>":
        _MISSING,
    "GET /_dash-dependencies": _IN,
    "GET /_dash-layout": _IN,
    "POST /_dash-update-component": _IN,
    "GET /_favicon.ico": _ALL,
    "GET /_reload-hash": _IN,
    "GET /assets/<path:filename>": _ALL,
    "GET /static/<path:filename>": _MISSING,
    # the door
    "GET /sign-in": "200 302 302 302 302 302 302 302",
    "POST /sign-in": "403 403 403 403 403 403 403 403",
    "GET /sign-in/code": "302 302 302 302 302 302 302 302",
    "POST /sign-in/code": "303 303 303 303 303 303 303 303",
    "POST /sign-in/provider": _MISSING_FOR_ALL,  # none is set here
    "GET /sign-in/provider/back": _MISSING_FOR_ALL,
    "POST /sign-out": _DONE,
    "GET /welcome/<token>": _MISSING_FOR_ALL,
    "POST /welcome/<token>": _MISSING_FOR_ALL,
    "GET /shared/<token>": _MISSING_FOR_ALL,
    "GET /unsubscribe/<uuid:person>/<token>": _MISSING_FOR_ALL,
    "POST /unsubscribe/<uuid:person>/<token>": _MISSING_FOR_ALL,
    "GET /confirm/<uuid:person>/<token>": _MISSING_FOR_ALL,
    "POST /confirm/<uuid:person>/<token>": _MISSING_FOR_ALL,
    "GET /calendar/<scope>/<token>.ics": _MISSING_FOR_ALL,
    # the machine
    "GET /health": _ALL,
    "GET /healthz": _ALL,
    "GET /ready": _ALL,
    "GET /metrics": "404 404 404 200 404 404 200 200",
    # one's own account
    "GET /password": _IN,
    "POST /password": "401 400 400 400 400 400 400 400",
    "GET /account/prove": _IN,
    "POST /account/prove": "401 403 403 403 403 403 403 403",
    "POST /account/keys/<uuid:key>/revoke": _MISSING,
    "POST /account/second-factor": _IN,
    "POST /account/second-factor/confirm": _REFUSED,
    "POST /account/second-factor/off": "401 403 403 403 403 403 403 403",
    "POST /account/shares": "401 403 403 403 403 200 200 200",
    "POST /account/sign-ins/<uuid:key>/end": _MISSING,
    "POST /account/sign-ins/end": _DONE,
    "POST /account/tokens": _IN,
    # looking after accounts
    "POST /people/<uuid:key>/<action>": _ADMIN,
    "POST /people/<uuid:key>/reset": "401 404 404 404 404 404 404 200",
    "POST /people/<uuid:key>/role": _ADMIN,
    "POST /people/invite": "401 404 404 404 404 404 404 200",
    # pictures
    "GET /pictures/<uuid:key>/<size>": "401 200 404 200 200 200 200 200",
    "GET /pictures/flat/<uuid:key>": "401 404 404 404 404 404 404 404",
    "GET /pictures/add/<code>": "401 422 404 422 200 200 200 200",
    "POST /pictures/add/<code>": "401 422 404 422 422 422 422 422",
    # the ground beneath the map
    "GET /map/ground.geojson": _MISSING,
    "POST /map/ground": _REFUSED,
    # the same for programs; lists hold what the account sees
    "GET /register.csv": _IN,
    "GET /api/v1/": _IN,
    "GET /api/<path:rest>": _MISSING,
    "GET /api/v1/supports/<string:key>": "401 200 404 200 200 200 200 200",
    **{f"GET /api/v1/{name}": _IN for name in API_LISTS},
    **{f"GET /api/v1/{name}/<string:key>": _MISSING for name in API_RECORDS},
    "GET /api/v1/series": "401 422 422 422 422 422 422 422",
    **{f"POST /api/v1/{name}": _RECORDERS_415 for name in API_DEEDS},
    "POST /api/v1/policy": "401 403 403 403 403 403 415 415",
    "POST /api/v1/loggers/readings": _RECORDERS_415,
    "GET /ogc/": _IN,
    "GET /ogc/conformance": _IN,
    "GET /ogc/collections": _IN,
    "GET /ogc/collections/<name>": _MISSING,
    "GET /ogc/collections/<name>/items": _MISSING,
    "GET /ogc/collections/<name>/items/<key>": _MISSING,
    "GET /ogc/<path:rest>": _MISSING,
    # papers; the key of a paper is for who asked for it
    "POST /papers/make": _DONE,
    "POST /papers/check": _DONE,
    "POST /imports/file": _REFUSED,
    "POST /rounds/agree": _PLANNERS_422,
    "POST /rounds/<uuid:key>/take-back": _PLANNERS_422,
    "POST /rounds/travel": _PLANNERS_422,
    "POST /rounds/travel/drop": _PLANNERS_422,
    "GET /papers/file/<key>": _MISSING,
    # the form that works with no signal
    "GET /field/": _IN,
    "GET /field/service-worker.js": _IN,
    "GET /field/web/<name>": _IN,
    "GET /field/tag/<code>": _IN_REDIRECT,
    "GET /field/api/start": _IN,
    "GET /field/api/round": "401 200 404 200 200 200 200 200",
    "GET /field/api/photos/<sha256>": _IN,
    "PUT /field/api/photos/<sha256>": _RECORDERS_422,
    "POST /field/api/inspections": _RECORDERS_422,
    "POST /field/api/set-aside": _RECORDERS_422,
    "GET /field/tags": "401 200 404 200 200 200 200 200",
    "GET /field/sheet": "401 200 404 200 200 200 200 200",
    "GET /field/markers": _IN,
}  # fmt: skip
