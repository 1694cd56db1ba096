"""What the register shows, as a CSV file."""

from collections.abc import Sequence
from urllib.parse import urlencode

from flask import Flask, Response, request

from dashboard.components.register_table import Sought, columns_named
from dashboard.context import AppContext
from monitor.exchange.columns import CellKind, OutColumn, OutTable
from monitor.exchange.columns_csv import csv_bytes
from monitor.services.showing.register_page import (
    ORDERS,
    SupportSearch,
    all_lines,
)

PATH = "/register.csv"


def address(sought: Sought, names: Sequence[str]) -> str:
    """Where the file of these words, this order and these columns is."""
    asked = {
        "q": sought.words,
        "sort": sought.order,
        "down": "1" if sought.is_descending else "",
        "columns": ",".join(names),
    }
    given = {name: value for name, value in asked.items() if value}
    return f"{PATH}?{urlencode(given)}"


def add_routes(server: Flask, context: AppContext) -> None:
    """Answer with every support that fits, not only the page in sight."""

    @server.get(PATH)
    def register_csv() -> Response:
        order = request.args.get("sort", "code")
        search = SupportSearch(
            request.args.get("q", ""),
            order if order in ORDERS else "code",
            request.args.get("down") == "1",
        )
        names = request.args.get("columns", "").split(",")
        with context.store.read_session() as session:
            lines = all_lines(session, search)
        columns = columns_named(names)
        table = OutTable(
            "register",
            "what the register shows",
            tuple(OutColumn(c.heading, CellKind.TEXT, c.heading) for c in columns),
            tuple(tuple(column.text(line) for column in columns) for line in lines),
        )
        answer = Response(csv_bytes(table), mimetype="text/csv")
        answer.headers["Content-Disposition"] = "attachment; filename=register.csv"
        return answer
