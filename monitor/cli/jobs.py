"""Commands for the jobs that run by themselves."""

import threading

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.errors import MonitorError, NotFound
from monitor.jobs.catalogue import JOBS
from monitor.jobs.runner import DONE, Runner, run_job
from monitor.store import job_runs


@click.group()
def jobs() -> None:
    """Run or look at the jobs."""


@jobs.command("list")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def list_jobs(context: CliContext, as_json: bool) -> None:
    """Name every job, its time and how its last run went."""
    rows = []
    for spec in JOBS:
        with context.store.read_session() as session:
            last = job_runs.last_run(session, spec.id)
        rows.append(
            {
                "job": spec.id,
                "about": spec.about,
                "times": spec.times,
                "last_started_at": last.started_at if last else None,
                "outcome": last.outcome if last else "never ran",
                "summary": last.summary if last else "",
            }
        )
    lines = [f"{r['job']}  {r['times']}  {r['outcome']}  {r['summary']}" for r in rows]
    say(rows, as_json=as_json, text="\n".join(lines))


@jobs.command()
@click.argument("job")
@click.pass_obj
def once(context: CliContext, job: str) -> None:
    """Run one job now."""
    spec = next((s for s in JOBS if s.id == job), None)
    if spec is None:
        raise NotFound("job", job, hint=f"Known: {', '.join(s.id for s in JOBS)}.")
    run = run_job(context.store, context.clock, spec)
    if run.outcome != DONE:
        raise MonitorError(f"The job {job} failed: {run.summary}", code="job-001")
    click.echo(run.summary)


@jobs.command()
@click.pass_obj
def run(context: CliContext) -> None:
    """Run the jobs at their times until Ctrl-C, without serving pages."""
    runner = Runner(context.store, context.clock)
    runner.start()
    click.echo("The jobs run at their times; Ctrl-C ends.")
    try:
        threading.Event().wait()
    finally:
        runner.stop()
