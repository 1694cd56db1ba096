"""`underprop archive`, and what `underprop import` does with one."""

import tempfile
from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.errors import InvalidInput
from monitor.exchange.archive_bag import unzip_bag, zip_folder
from monitor.services.keeping.archive import write_archive
from monitor.services.keeping.take_in import take_in
from monitor.store.photos import PhotoFiles

LARGEST_UNPACKED_BYTES = 500_000_000_000


@click.command("archive")
@click.argument("target", type=click.Path(path_type=Path))
@click.pass_obj
def archive(context: CliContext, target: Path) -> None:
    """Write the whole record into a new folder, or a ZIP if the name ends so."""
    photos = PhotoFiles(context.settings.photo_folder)
    if target.exists() and target.suffix == ".zip":
        raise InvalidInput(f"{target} is there already; name another.", code="arc-001")
    with tempfile.TemporaryDirectory(dir=_beside(target)) as scratch:
        is_zip = target.suffix == ".zip"
        folder = Path(scratch) / "bag" if is_zip else target
        with context.store.read_session() as session:
            rows = write_archive(session, photos, folder, now=context.clock.now())
        if is_zip:
            zip_folder(folder, target)
    click.echo(f"{target}: {rows} rows. Check it with the verify_record.py inside.")


def is_archive(path: Path) -> bool:
    """Whether this is a package to be taken in rather than a spreadsheet."""
    return (path / "bagit.txt").is_file() or path.suffix == ".zip"


def take_in_archive(context: CliContext, path: Path) -> None:
    """Take a package into the empty record."""
    photos = PhotoFiles(context.settings.photo_folder)
    by = (context.actor, context.clock.now())
    with tempfile.TemporaryDirectory(dir=_beside(path)) as scratch:
        bag = path
        if path.suffix == ".zip":
            limit = LARGEST_UNPACKED_BYTES
            bag = unzip_bag(path, Path(scratch), at_most_bytes=limit)
        with context.store.write_session() as session:
            rows = take_in(session, photos, bag, by=by)
    click.echo(
        f"{rows} rows were taken in from {path}. Accounts came without passwords: set "
        "them with “underprop account password NAME”."
    )


def _beside(path: Path) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    return path.parent
