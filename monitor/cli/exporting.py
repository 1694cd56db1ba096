"""`underprop export`: the record as lists and maps for other programs."""

import os
from collections.abc import Callable
from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.domain.vocabulary import MemberKind
from monitor.errors import InvalidInput
from monitor.exchange.columns import OutTable
from monitor.exchange.columns_csv import csv_bytes
from monitor.exchange.columns_parquet import parquet_bytes
from monitor.exchange.geojson import Point, geojson_bytes
from monitor.exchange.geopackage import write_geopackage
from monitor.exchange.workbook_file import workbook_bytes
from monitor.services.exporting.chosen import Choice
from monitor.services.exporting.lists import lists_of
from monitor.services.exporting.map_points import map_points

_FOLDERS: dict[str, Callable[[OutTable], bytes]] = {
    "csv": csv_bytes,
    "parquet": parquet_bytes,
}
_FORMS = ".xlsx, .geojson or .gpkg, or a folder ending in .csv or .parquet"


@click.command("export")
@click.argument("target", type=click.Path(path_type=Path))
@click.option("--site", default="", help="Code of one site.")
@click.option("--owner", default="", help="Name of one owner.")
@click.option(
    "--kind", default="", type=click.Choice(["", *MemberKind]), help="Member."
)
@click.pass_obj
def export(context: CliContext, target: Path, site: str, owner: str, kind: str) -> None:
    """Write the record as lists: TARGET.xlsx, or a folder TARGET.csv or .parquet.

    TARGET.geojson and TARGET.gpkg put the supports on a map.

    The sheets “supports”, “inspections” and “works” can be imported again.
    """
    form = target.suffix.casefold().removeprefix(".")
    if form not in {"xlsx", *_MAPS, *_FOLDERS}:
        raise InvalidInput(f"{target.name} tells no form; name it {_FORMS}.")
    if target.exists():
        raise InvalidInput(f"{target} is there already; name another.")
    if form in _MAPS:
        with context.store.read_session() as session:
            points = map_points(session, Choice(site, owner, kind))
        _MAPS[form](target, points)
        missing = sum(point.place is None for point in points)
        click.echo(f"{target} written: {len(points)} supports, {missing} placeless.")
        return
    with context.store.read_session() as session:
        tables = lists_of(session, Choice(site, owner, kind))
    if form == "xlsx":
        _keep(target, workbook_bytes(tables, context.clock.now()))
    else:
        target.mkdir(parents=True)
        for table in tables:
            _keep(target / f"{table.name}.{form}", _FOLDERS[form](table))
    rows = ", ".join(f"{len(table.rows)} {table.name}" for table in tables[:3])
    click.echo(f"{target} written: {rows}, and what follows from them.")


def _keep_geojson(path: Path, points: list[Point]) -> None:
    _keep(path, geojson_bytes(points))


_MAPS: dict[str, Callable[[Path, list[Point]], None]] = {
    "geojson": _keep_geojson,
    "gpkg": write_geopackage,
}


def _keep(path: Path, content: bytes) -> None:
    """Write a file whole or not at all; only its owner reads it."""
    part = path.with_name(f".{path.name}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
    part.rename(path)
