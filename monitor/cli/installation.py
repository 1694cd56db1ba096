"""Commands that set up, fill, serve and check an installation."""

import secrets
import signal
import sys
from dataclasses import replace

import click

from dashboard.context import AppContext
from dashboard.events_log import start_logging
from dashboard.server import make_server
from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.domain.vocabulary import Role
from monitor.errors import InvalidInput
from monitor.jobs.catalogue import JOBS, WATCHED
from monitor.jobs.runner import Runner, last_done, runs_of
from monitor.services.access import NewAccount, add_account
from monitor.services.assessing.assess import assess_all
from monitor.services.demo import FOLDER, load_demo, tell_latest
from monitor.services.entry import second
from monitor.services.entry.sealing import seal_of
from monitor.services.keeping.backups import alarm
from monitor.services.keeping.upgrading import bring_up
from monitor.services.showing.map_ground import keep_ground
from monitor.services.showing.running import trouble
from monitor.store import Store, ledger, records
from monitor.store.copying import copy_database, is_sqlite
from monitor.store.schema import current_revision, head_revision
from monitor.store.stale import stale_supports

DEMO_NAME = "demo"
UNWELL = 5


@click.command()
@click.pass_obj
def setup(context: CliContext) -> None:
    """Create the database, or bring it up to date; what is recorded stays."""
    bring_up_to_date(context)


@click.command()
@click.pass_obj
def demo(context: CliContext) -> None:
    """Load the invented city of Velmarsh into an empty database."""
    if not is_empty(context.store):
        raise InvalidInput(
            "The record is not empty, and demo data do not belong among real records. "
            "Set UNDERPROP_DATA_FOLDER to a new folder and try again.",
            code="dem-001",
        )
    fill_with_demo(context)


@click.command()
@click.option("--first-run", is_flag=True, help="Set up, and load the demo if empty.")
@click.option("--host", help="Address to listen on.")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on.")
@click.pass_obj
def serve(
    context: CliContext, first_run: bool, host: str | None, port: int | None
) -> None:
    """Serve the pages and run the nightly jobs, until Ctrl-C."""
    if first_run:
        bring_up_to_date(context)
        if is_empty(context.store):
            fill_with_demo(context)
    settings = replace(
        context.settings,
        host=host or context.settings.host,
        port=port or context.settings.port,
    )
    start_logging()
    server = make_server(
        AppContext(settings, context.store, context.clock, watched=WATCHED)
    )
    runner = Runner(context.store, context.clock)
    signal.signal(signal.SIGTERM, _interrupt)
    runner.start()
    try:
        click.echo(f"Underprop is at http://{settings.host}:{settings.port}")
        _say_demo_sign_in(context)
        click.echo("Ctrl-C ends it.")
        server.run()
    finally:
        server.close()
        runner.stop(patience_s=3)
        context.store.close()
        click.echo("Stopped; nothing was left half-written.")


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def check(context: CliContext, as_json: bool) -> None:
    """Look over this installation: database, jobs, notices, ledger, settings.

    Exits with 5 when a job failed or is overdue, or a notice did not arrive, so an
    outside watch can call it.
    """
    store = context.store
    with store.read_session() as session:
        found: dict[str, object] = {
            "database": context.settings.masked_url,
            "revision": current_revision(store),
            "data_folder": str(context.settings.data_folder),
            "supports": records.SUPPORTS.count(session),
            "readings": records.READINGS.count(session),
            "accounts": records.ACCOUNTS.count(session),
            "waiting_for_assessment": len(stale_supports(session)),
            "ledger_broken_at": ledger.first_broken(session),
        }
    for spec in JOBS:
        last = last_done(store, spec.id)
        when = last.finished_at if last else None
        found[f"job_{spec.id}"] = when.isoformat() if when else "never ran to its end"
    with store.read_session() as session:
        wrong = trouble(session, WATCHED, context.clock.now()).sentences
    nights = runs_of(store, "back-up")
    if nights:
        since, now = nights[0].started_at, context.clock.now()
        late = alarm(context.settings.backups, since=since, now=now)
        wrong = (*wrong, late) if late else wrong
    found["trouble"] = list(wrong)
    told = [f"{k}: {v}" for k, v in found.items() if k != "trouble"]
    say(found, as_json=as_json, text="\n".join((*told, *wrong)))
    if wrong:
        sys.exit(UNWELL)


def bring_up_to_date(context: CliContext) -> None:
    """Run the migrations that are missing, after a backup of what there is."""
    settings, now = context.settings, context.clock.now()
    bare = Store(settings.url)
    before = current_revision(bare)
    bare.close()
    if before and before < head_revision() and is_sqlite(settings.url):
        name = f"before-{head_revision()}-{now:%Y%m%dT%H%M%SZ}.db"
        settings.backups.mkdir(parents=True, exist_ok=True)
        copy_database(settings.url, settings.backups / name)
        click.echo(f"The database as it was is kept in {settings.backups / name}.")
    bring_up(settings.url, actor=context.actor, now=now)
    with context.store.write_session() as session:
        second.seal_old(session, seal_of(settings.data_folder))
    if before != head_revision():
        click.echo(f"The database {settings.masked_url} is set up.")


def is_empty(store: Store) -> bool:
    """Whether nothing has been recorded yet."""
    with store.read_session() as session:
        return records.SUPPORTS.count(session) == records.ACCOUNTS.count(session) == 0


def fill_with_demo(context: CliContext) -> None:
    """Replay the demo history, assess it as of today, and open a demo account."""
    with click.progressbar(length=1000, label="Loading the demo") as bar:
        load_demo(
            context.store,
            today_clock=context.clock,
            progress=lambda share: bar.update(int(1000 * share) - bar.pos),
        )
    click.echo("Working out what the readings say ...")
    with context.store.write_session() as session:
        series = assess_all(session, now=context.clock.now())
        tell_latest(session, context.clock.now())
        password = secrets.token_urlsafe(9)
        account = NewAccount(DEMO_NAME, "", Role.ADMINISTRATOR, password)
        add_account(session, account, actor=context.actor, now=context.clock.now())
    keep_ground(context.settings.data_folder, (FOLDER / "ground.geojson").read_bytes())
    note = context.settings.data_folder / "demo-sign-in"
    note.touch(mode=0o600)
    note.write_text(f"{DEMO_NAME} {password}\n", encoding="utf-8")
    click.echo(f"{series} series of readings were assessed.")


def _say_demo_sign_in(context: CliContext) -> None:
    note = context.settings.data_folder / "demo-sign-in"
    if note.exists():
        name, password = note.read_text(encoding="utf-8").split()
        click.echo(f"Demo sign-in: name {name}, password {password}")


def _interrupt(_number: int, _frame: object) -> None:
    raise KeyboardInterrupt
