"""The command that makes papers, and looks whether one still fits the record."""

import sys
from datetime import datetime
from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.cli.watching import ISO_DATE
from monitor.errors import InvalidInput
from monitor.reports.blocks import Size
from monitor.services.papers.fingerprint import check
from monitor.services.papers.issued import issue
from monitor.services.papers.make import House, make_paper
from monitor.services.papers.wish import PaperKind, PaperWish, Scope
from monitor.services.recording.checks import Stamp
from monitor.store.disk import write_through
from monitor.store.photos import PhotoFiles

KINDS = {
    "condition": PaperKind.CONDITION,
    "certificate": PaperKind.CERTIFICATE,
    "dossier": PaperKind.DOSSIER,
    "year": PaperKind.YEAR_PLAN,
    "field": PaperKind.FIELD_SHEET,
    "tags": PaperKind.TAGS,
}


@click.command()
@click.argument("code", required=False, default="")
@click.option("--site", default="", help="Every support of a site, by code or name.")
@click.option("--owner", default="", help="Every support of an owner.")
@click.option("--all", "everything", is_flag=True, help="The whole installed base.")
@click.option(
    "--kind", type=click.Choice(list(KINDS)), default="condition", show_default=True,
    help="Condition report, certificate of one look, dossier of a site, year plan, "
    "field sheets, tags.",
)  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The PDF.")
@click.option(
    "--paper", type=click.Choice([size.value for size in Size]), default="a4",
    show_default=True,
)  # fmt: skip
@click.option("--as-known", type=ISO_DATE, help="As known on that day, YYYY-MM-DD.")
@click.option("--looked-on", type=ISO_DATE, help="Day of the look, for a certificate.")
@click.option("--check", "root", default="", help="SIZE:ROOT as printed on a paper.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def report(
    context: CliContext,
    code: str,
    site: str,
    owner: str,
    everything: bool,
    kind: str,
    out: Path | None,
    paper: str,
    as_known: datetime | None,
    looked_on: datetime | None,
    root: str,
    as_json: bool,
) -> None:
    """Make a paper as PDF, or with --check see whether one fits the record."""
    if root:
        size, _, digits = root.partition(":")
        with context.store.read_session() as session:
            found = check(session, size.strip(), digits)
        say({"answer": found}, as_json=as_json, text=found)
        return
    if out is None:
        raise InvalidInput("Say where the paper goes, with --out FILE.", field="out")
    scope, name = _scope(code, site, owner, everything or kind == "year")
    wish = PaperWish(
        KINDS[kind],
        scope,
        name,
        Size(paper),
        as_known.date() if as_known else None,
        looked_on.date() if looked_on else None,
    )
    settings = context.settings
    files = PhotoFiles(settings.photo_folder)
    house = House(context.store, context.store, files, settings.pages_url)
    with click.progressbar(
        length=1000, label="Making the paper", file=sys.stderr
    ) as bar:
        made = make_paper(
            house,
            wish,
            context.clock.now(),
            lambda share, _: bar.update(int(1000 * share) - bar.pos),
        )
    with context.store.write_session() as session:
        digest = issue(session, made, Stamp(context.actor, context.clock.now()))
    write_through(out, made.pdf)
    said = {"file": str(out), "pages": made.pages, "supports": made.supports,
            "sha256": digest}  # fmt: skip
    text = f"{made.pages} pages on {made.supports} supports are in {out}."
    say(said, as_json=as_json, text=text)


def _scope(code: str, site: str, owner: str, everything: bool) -> tuple[Scope, str]:
    given = [
        (scope, name)
        for scope, name in (
            (Scope.SUPPORT, code),
            (Scope.SITE, site),
            (Scope.OWNER, owner),
            (Scope.ALL, "all" if everything else ""),
        )
        if name.strip()
    ]
    if len(given) != 1:
        raise InvalidInput(
            "Name one of these: a support's code, --site, --owner or --all.",
            field="scope",
            code="pap-004",
        )
    return given[0]
