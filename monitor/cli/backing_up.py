"""`underprop backup` and `underprop restore`."""

from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.errors import Conflict
from monitor.services.keeping.backups import back_up, read_backup, rotate
from monitor.services.keeping.restoring import restore, try_restore
from monitor.store.copying import database_file, is_sqlite
from monitor.store.photos import PhotoFiles


@click.command("backup")
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@click.pass_obj
def backup(context: CliContext, folder: Path | None) -> None:
    """Back up while the record is written, and try the backup by restoring it."""
    settings, now = context.settings, context.clock.now()
    place = folder or settings.backups
    made = back_up(context.store, PhotoFiles(settings.photo_folder), place, now=now)
    click.echo(f"{made.folder}: {made.size} entries, {made.photos} photographs.")
    try_restore(made, place / "trying", now=now)
    click.echo("It was restored for trial, and everything in it holds.")
    gone = rotate(
        place,
        daily=settings.backup_daily,
        weekly=settings.backup_weekly,
        monthly=settings.backup_monthly,
    )
    for path in gone:
        click.echo(f"Removed {path.name}, no longer wanted.")


@click.command("restore")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option(
    "--replace", "replaces", is_flag=True,
    help="Put it in the place of the record there is; that one is kept aside.",
)  # fmt: skip
@click.pass_obj
def restore_backup(context: CliContext, folder: Path, replaces: bool) -> None:
    """Put a backup in the place of the record. Stop the server first."""
    settings = context.settings
    found = read_backup(folder)
    if not is_sqlite(settings.url):
        raise Conflict(
            "A backup of a SQLite file is restored into a SQLite file; for PostgreSQL "
            "take in an archive: “underprop import ARCHIVE”.",
            code="bak-006",
        )
    if database_file(settings.url).exists() and not replaces:
        raise Conflict(
            f"There is a record at {settings.masked_url} already. Nothing was changed. "
            "Say --replace to put the backup in its place; it is kept aside.",
            code="bak-007",
        )
    by = (context.actor, context.clock.now())
    aside = restore(found, settings.url, PhotoFiles(settings.photo_folder), by=by)
    click.echo(f"The record is that of {found.made_at:%-d %B %Y, %H:%M} UTC.")
    if aside:
        click.echo(f"The one before lies in {aside}.")
