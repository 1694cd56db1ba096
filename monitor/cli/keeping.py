"""Commands that show the record to be what was written: verify, checkpoint, proof."""

import json
import sys
from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.services.keeping.checkpoints import (
    keep_checkpoint,
    make_checkpoint,
    prove,
    prove_growth,
    read_checkpoint,
)
from monitor.services.keeping.signing import sign, signed_checkpoint
from monitor.services.keeping.verify import Asked, Verdict, verify
from monitor.services.papers.issued import sha256_of, subject_of, who_issued
from monitor.store.disk import write_through
from monitor.store.photos import PhotoFiles

VERIFICATION_FAILED = 5
SHOWN = 20
_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("verify")
@click.option("--against", type=_FILE, help="A checkpoint kept outside this house.")
@click.option("--no-photos", is_flag=True, help="Leave the photograph files out.")
@click.option(
    "--outlooks", type=click.IntRange(0), default=20, show_default=True,
    help="How many supports to assess anew for comparison.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def verify_record(
    context: CliContext,
    against: Path | None,
    no_photos: bool,
    outlooks: int,
    as_json: bool,
) -> None:
    """Work out everything anew and name the first broken thing."""
    photos = None if no_photos else PhotoFiles(context.settings.photo_folder)
    outside = signed_checkpoint(against) if against else None
    with context.store.read_session() as session:
        asked = Asked(session, photos, outside, outlooks, _progress)
        found = verify(asked)
    say(_told(found), as_json=as_json, text=_sentences(found))
    if not found.holds:
        sys.exit(VERIFICATION_FAILED)


@click.command()
@click.argument("file", type=_FILE, required=False)
@click.pass_obj
def checkpoint(context: CliContext, file: Path | None) -> None:
    """Write what the ledger is now, signed; keep a copy outside this house."""
    with context.store.read_session() as session:
        made = make_checkpoint(session, now=context.clock.now())
    made = sign(made, context.settings.data_folder)
    path = keep_checkpoint(context.settings.checkpoint_folder, made)
    if file is not None:
        write_through(file, path.read_bytes())
    click.echo(
        f"{made.head.size} entries, root {made.head.root}.\n"
        f"Written to {file or path}, signed with the key {made.public_key}. It proves "
        "something only where nobody of this house can change it."
    )


@click.command()
@click.argument("about", required=False, default="")
@click.option("--from", "older", type=_FILE, help="Prove growth since a checkpoint.")
@click.option(
    "--paper", type=click.Path(path_type=Path, dir_okay=False, exists=True),
    help="Prove that this file was issued here.",
)  # fmt: skip
@click.pass_obj
def proof(
    context: CliContext, about: str, older: Path | None, paper: Path | None
) -> None:
    """Print a proof that entries about a code, id or number are in the ledger."""
    with context.store.read_session() as session:
        if older is not None:
            made = prove_growth(session, read_checkpoint(older))
        else:
            if paper is not None:
                digest = sha256_of(paper.read_bytes())
                click.echo(who_issued(session, digest), err=True)
                about = subject_of(digest)
            made = prove(session, about, now=context.clock.now())
    click.echo(json.dumps(made, indent=1, ensure_ascii=False))


def _progress(part: str, done: int) -> None:
    if sys.stderr.isatty():
        click.echo(f"\r{part}: {done}   ", err=True, nl=False)


def _told(found: Verdict) -> dict[str, object]:
    return {
        "holds": found.holds,
        "first_broken": str(found.broken[0]) if found.broken else None,
        "broken": [str(broken) for broken in found.broken],
        "entries": found.head.size,
        "root": found.head.root,
        "rows": found.rows,
        "photographs": found.photos,
        "clock_went_back_at": found.clock_went_back_at,
    }


def _sentences(found: Verdict) -> str:
    lines = [
        f"{found.head.size} entries, {found.rows} rows, {found.photos} photographs "
        "were looked at."
    ]
    if found.clock_went_back_at:
        lines.append(
            f"The clock of the server went back at entry {found.clock_went_back_at}; "
            "the order of the log holds."
        )
    if found.holds:
        lines.append(f"Everything is what was written. Root {found.head.root}.")
        return "\n".join(lines)
    lines.append(f"NOT what was written. First broken: {found.broken[0]}")
    lines += [f"  {broken}" for broken in found.broken[1:SHOWN]]
    if len(found.broken) > SHOWN:
        lines.append(f"  and {len(found.broken) - SHOWN} more")
    return "\n".join(lines)
