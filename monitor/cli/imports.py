"""`underprop import`: a list that someone keeps becomes part of the record."""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import click

from monitor.cli.archiving import is_archive, take_in_archive
from monitor.cli.context import CliContext
from monitor.errors import ImportRejected, InvalidInput, RowProblem
from monitor.exchange.dates import ORDERS
from monitor.exchange.mapping import HeadingMap, mapping_text, read_mapping
from monitor.exchange.rejects import write_rejects
from monitor.exchange.sheet import Sheet
from monitor.exchange.table import guessed_columns
from monitor.exchange.tables import ReadOptions, read_sheet
from monitor.exchange.trade_words import FileKind
from monitor.services.ingesting.ingest import Report, ingest
from monitor.services.ingesting.rows import IngestOptions

SHOWN = 20
_FILE = click.Path(path_type=Path)


@click.command("import")
@click.argument("file", type=_FILE)
@click.option("--kind", type=click.Choice(list(FileKind)), help="What the file holds.")
@click.option("--dry-run", is_flag=True, help="Check everything, write nothing.")
@click.option("--skip-bad", is_flag=True, help="Take the good rows, leave the bad.")
@click.option("--strict", is_flag=True, help="Refuse what is only surprising, too.")
@click.option("--dates", type=click.Choice(ORDERS), help="Order in 03/04/2015.")
@click.option("--mapping", type=_FILE, help="TOML file that says what the columns are.")
@click.option("--write-mapping", type=_FILE, help="Write such a file for editing.")
@click.option("--encoding", default="", help="Of a CSV file that is not UTF-8.")
@click.option("--sheet", default="", help="Which sheet of a workbook.")
@click.option("--rejects", type=_FILE, help="Write every problem into this CSV file.")
@click.pass_obj
def import_file(
    context: CliContext,
    file: Path,
    kind: str | None,
    dry_run: bool,
    skip_bad: bool,
    strict: bool,
    dates: str | None,
    mapping: Path | None,
    write_mapping: Path | None,
    encoding: str,
    sheet: str,
    rejects: Path | None,
) -> None:
    """Take in supports, inspections, works or corrections from CSV or XLSX.

    One bad row means that nothing is written, unless --skip-bad is given. Importing the
    same file again changes nothing. An archive is taken into an empty record whole.
    """
    if is_archive(file):
        take_in_archive(context, file)
        return
    limit_mb = context.settings.upload_mb
    table = read_sheet(file, ReadOptions(encoding, sheet, limit_mb))
    said = read_mapping(mapping) if mapping else HeadingMap()
    said = replace(said, kind=FileKind(kind)) if kind else said
    if write_mapping:
        _write_mapping(write_mapping, table, said)
        return
    options = IngestOptions(
        dates=dates or "",
        skip_bad=skip_bad,
        strict=strict,
        dry_run=dry_run,
        timezone=context.settings.timezone,
        mapping=said,
    )
    try:
        report = _ingest(context, table, options)
    except ImportRejected as no:
        _show_problems("Problems", no.problems)
        _keep_rejects(rejects, no.problems)
        raise
    _show_report(report, options)
    _keep_rejects(rejects, report.problems)


def _ingest(context: CliContext, table: Sheet, options: IngestOptions) -> Report:
    store, now = context.store, context.clock.now()
    opened = store.read_session() if options.dry_run else store.write_session()
    with _progress(table) as progress, opened as session:
        watched = replace(options, progress=progress)
        return ingest(session, table, watched, actor=context.actor, now=now)


@contextmanager
def _progress(table: Sheet) -> Iterator[Callable[[int, int], None]]:
    """A bar on the terminal, nothing where there is none."""
    bar = click.progressbar(length=1000, label=table.file_name, file=sys.stderr)

    def step(done: int, whole: int) -> None:
        bar.update(1000 * done // whole - bar.pos)

    with bar:
        yield step


def _write_mapping(path: Path, table: Sheet, said: HeadingMap) -> None:
    if path.exists():
        raise InvalidInput(f"{path} is there already; name another file.")
    kind, columns = guessed_columns(table, said)
    path.write_text(mapping_text(kind, columns), encoding="utf-8")
    unknown = sum(column is None for column in columns.values())
    click.echo(
        f"{path} written: {len(columns)} headings, {unknown} of them not known. Edit "
        f"it, then import with --mapping {path}."
    )


def _show_report(report: Report, options: IngestOptions) -> None:
    _show_problems("Bad rows that were left out", report.problems)
    _show("Surprising, but taken", [_question(w) for w in report.warnings])
    would = "Nothing was written (--dry-run). Rows" if options.dry_run else "Rows"
    click.echo(
        f"{report.file_name}, {report.kind.value}. {would}: {report.taken} new, "
        f"{report.known} known already, {report.refused} refused."
    )
    if report.made:
        made = ", ".join(f"{n} {name}" for name, n in report.made.items())
        click.echo(f"{'It would bring' if options.dry_run else 'It brought'} {made}.")


def _show_problems(title: str, problems: Sequence[RowProblem]) -> None:
    _show(title, [str(problem) for problem in problems])


def _question(warning: RowProblem) -> str:
    return f"row {warning.row}, column “{warning.column}”: {warning.expected}"


def _show(title: str, lines: Sequence[str]) -> None:
    if lines:
        click.echo(f"{title}:")
    for line in lines[:SHOWN]:
        click.echo(f"  {line}")
    if len(lines) > SHOWN:
        click.echo(f"  and {len(lines) - SHOWN} more")


def _keep_rejects(path: Path | None, problems: Sequence[RowProblem]) -> None:
    if path is not None:
        write_rejects(path, problems)
        click.echo(f"{len(problems)} problems written to {path}.")
