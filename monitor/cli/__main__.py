"""The `underprop` command. Errors become one sentence and an exit code here."""

import sys
from importlib import import_module

import click

from monitor.cli.context import CliContext
from monitor.errors import Conflict, InvalidInput, MonitorError, NotFound, StoreError
from monitor.store.ledger import ORIGIN

REFUSED, NOT_FOUND, STORE_TROUBLE = 2, 3, 4

COMMANDS = {
    "setup": "installation:setup",
    "demo": "installation:demo",
    "serve": "installation:serve",
    "check": "installation:check",
    "jobs": "jobs:jobs",
    "import": "imports:import_file",
    "export": "exporting:export",
    "record": "recording:record",
    "amend": "recording:amend",
    "assess": "watching:assess",
    "due": "watching:due",
    "explain": "watching:explain",
    "plan": "planning:plan",
    "defer": "deferring:defer_inspection",
    "event": "events:event",
    "policy": "policy:policy",
    "site": "site_days:site",
    "account": "entry:account",
    "notices": "notices:notices",
    "verify": "keeping:verify_record",
    "checkpoint": "keeping:checkpoint",
    "proof": "keeping:proof",
    "archive": "archiving:archive",
    "backup": "backing_up:backup",
    "restore": "backing_up:restore_backup",
    "report": "papers:report",
}
"""Where each command lives; loaded when it is asked for, for a quick start."""


class Commands(click.Group):
    """A group that loads a command when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every name, in the order of the help."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        module, _, name = COMMANDS[cmd_name].partition(":")
        command: click.Command = getattr(import_module(f"monitor.cli.{module}"), name)
        return command


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="underprop")
@click.pass_context
def cli(context: click.Context) -> None:
    """Keep the record of installed tree supports, and the watch over them."""
    if context.obj is None:
        context.obj = CliContext()
    ORIGIN.set("command line")


def main() -> None:
    """Run the command line; the console script enters here."""
    try:
        cli(standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        sys.exit(130)
    except MonitorError as error:
        click.echo(f"{error.message} [{error.code}]", err=True)
        sys.exit(exit_code(error))


def exit_code(error: MonitorError) -> int:
    """Return 2 for refused input, 3 not found, 4 store trouble, 1 anything else."""
    match error:
        case InvalidInput() | Conflict():
            return REFUSED
        case NotFound():
            return NOT_FOUND
        case StoreError():
            return STORE_TROUBLE
        case _:
            return 1


if __name__ == "__main__":
    main()
