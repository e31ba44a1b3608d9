"""The commands; the only clock. What a command does is imported when it runs."""

from __future__ import annotations

import errno
import json
import os
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

import logbook
from logbook.commands.screen import Bar, settle_output, visible

if TYPE_CHECKING:
    from logbook.build.run import Outcome, Request

_Command = TypeVar("_Command", bound=Callable[..., Any])

# Sums are added up in one order on every machine, and jobs worked out side by side do not fight for the cores: matrices
# here are small (one log: 2.3 s with one thread and with two, 2.1 against 3.0 s of processor time).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

FIRST = """\
A log is a text file: a line at the margin is an entry, an indented line is a note to it.

  logbook start van.txt          asks a few questions and writes the first lines
  logbook check van.txt          is every line understood?
  logbook next van.txt           what to test next, and what each outcome would mean
  logbook report . --to site     every log of this folder as pages; open site/index.html
  logbook watch . --to site      the same, and again after every save

A first log may be as short as this:

  job: Parcel van, shakes at the lights
  units: metric
  engine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug
  symptom: shakes at idle since the rain

  2026-05-04
  cut-out: 1 70, 2 65, 3 70, 4 0, 5 60, 6 70
    4 makes no difference at all.

All commands: logbook --help. How to write each kind of entry: how-to-write-a-log.html of any report.
"""


class _Group(click.Group):
    """Commands in the order in which a builder meets them."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except OSError as error:
            if error.errno not in (errno.ENOSPC, errno.EIO) or error.filename is not None:
                raise  # not of the output: a closed pipe is click's to end
            _stop(f"the output could not be written: {error.strerror}", "send it to where there is room")

    def list_commands(self, ctx: click.Context) -> list[str]:
        return ["start", "sample", "check", "next", "sheet", "report", "watch", "tidy", "work", "editor"]


class _Work(click.Command):
    """Stands for ``logbook work`` until it is called: all formulas are loaded only then."""

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None, **extra: Any
    ) -> click.Context:
        from logbook.work import work

        return work.make_context(info_name, args, parent, **extra)


def _stop(message: str, mend: str = "") -> NoReturn:
    """Wrong use, or something could not be read or written: exit status 2."""
    click.echo(f"logbook: {visible(message)}", err=True)
    if mend:
        click.echo(f"    fix: {visible(mend)}", err=True)
    sys.exit(2)


@click.group(cls=_Group, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(logbook.__version__, prog_name="logbook")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Reads your shop log, works out the likely cause and the next test, and builds the site.

    \b
    Examples:
      logbook check van.txt
      logbook next van.txt
      logbook report sample_logs --to site
    """
    ctx.color = settle_output()
    if ctx.invoked_subcommand is None:
        click.echo(FIRST, nl=False)


def _some(ctx: click.Context, parameter: click.Parameter, logs: tuple[str, ...]) -> tuple[str, ...]:
    if not logs and not ctx.resilient_parsing:
        mend = "Name files or folders, as '.'; logbook start van.txt begins a log, logbook sample FOLDER brings some."
        raise click.UsageError(f"Missing argument 'LOGS...'. {mend}")
    return logs


_LOGS = click.argument("logs", nargs=-1, callback=_some, type=click.Path(path_type=str), metavar="LOGS...")


def _site_options(command: _Command) -> _Command:
    for option in reversed(
        (
            click.option(
                "--to", "to", default="site", show_default=True, metavar="FOLDER", help="Where the site goes."
            ),
            click.option(
                "--copy",
                type=click.Choice(["shop", "public"]),
                default="shop",
                show_default=True,
                help="Shop's copy, or public copy with private lines left out.",
            ),
            click.option("--fresh", is_flag=True, help="Look into every file, whatever is remembered of earlier runs."),
            click.option("--strict", is_flag=True, help="Exit with 1 when the logs have errors."),
            click.option(
                "--templates",
                type=click.Path(exists=True, file_okay=False, path_type=str),
                metavar="FOLDER",
                help="Your own templates; used instead of logbook's where they exist.",
            ),
            click.option(
                "--workers",
                type=click.IntRange(1, 64),
                default=None,
                help="Jobs built at once (default: one for each core, when there is enough to do).",
            ),
        )
    ):
        command = option(command)
    return command


@main.command()
@_LOGS
@_site_options
def report(
    logs: tuple[str, ...], to: str, copy: str, fresh: bool, strict: bool, templates: str | None, workers: int | None
) -> None:
    """Build the site from LOGS: files or folders. Only what has changed is made again.

    \b
    Examples:
      logbook report .
      logbook report van.txt truck.txt --to site
      logbook report ~/logs --copy public --to published
    """
    outcome = _build(_request(logs, to, copy, templates, workers), fresh)
    _say_outcome(outcome, to)
    sys.exit(_status(outcome, strict))


@main.command()
@_LOGS
@_site_options
@click.option(
    "--poll",
    is_flag=True,
    help="Look at the files every second instead of waiting for the system to tell of changes: for network drives.",
)
def watch(
    logs: tuple[str, ...],
    to: str,
    copy: str,
    fresh: bool,
    strict: bool,
    templates: str | None,
    workers: int | None,
    poll: bool,
) -> None:
    """Build the site, then rebuild each time you save. Ctrl-C stops it. Open pages reload themselves.

    \b
    Examples:
      logbook watch .
      logbook watch /mnt/shared/logs --to site --poll
    """
    from logbook.watch import watch as run_watch

    request = _request(logs, to, copy, templates, workers)
    outcome = _guarded(lambda: run_watch(request, poll=poll, say=_say, clock_ns=time.time_ns, fresh=fresh))
    sys.exit(_status(outcome, strict))


def _status(outcome: Outcome, strict: bool) -> int:
    if outcome.failed:
        return 2
    return int(strict and bool(outcome.errors))


def _request(logs: tuple[str, ...], to: str, copy: str, templates: str | None, workers: int | None) -> Request:
    from pathlib import Path

    from logbook.build.run import Request

    own = Path(templates) if templates else None
    return Request(logs, Path(to), "public" if copy == "public" else "shop", own, workers)


_Result = TypeVar("_Result")


def _guarded(work: Callable[[], _Result]) -> _Result:
    """Run what reads and writes; what can go wrong on the way is said plainly, with exit status 2."""
    try:
        return work()
    except Exception as error:
        _say_failure(error)
        raise


def _say_failure(error: Exception) -> None:
    from logbook.build.discovery import CannotRead
    from logbook.output.site import Refused
    from logbook.output.writing import Busy, CannotWrite

    match error:
        case CannotRead():
            _stop(str(error))
        case Refused():
            for path in error.paths[:10]:
                click.echo(f"  {visible(path)}", err=True)
            _stop(error.message, error.mend)
        case Busy():
            _stop("another run is still writing into this site", "wait for it to end, then run this again")
        case CannotWrite():
            _stop(f"cannot write {error.path}: {error.reason}", "make room or get the right to write; nothing was lost")


def _build(request: Request, fresh: bool) -> Outcome:
    from logbook.build.run import build

    bar = Bar()
    try:
        return _guarded(lambda: build(request, now_ns=time.time_ns(), progress=bar, say=_say, fresh=fresh))
    finally:
        bar.done()


def _say(line: str) -> None:
    click.echo(visible(line))


def _say_outcome(outcome: Outcome, to: str) -> None:
    from pathlib import Path

    made, jobs = len(outcome.made), f"{outcome.jobs} job{'s' if outcome.jobs != 1 else ''}"
    if not outcome.written and not outcome.deleted:
        click.echo(f"{jobs}; nothing has changed.")
    else:
        click.echo(
            f"{jobs}, {made if made != outcome.jobs else 'all'} made again; {len(outcome.written)} files written."
        )
    for line in outcome.shown:
        _say(line)
    for line in outcome.failed:
        click.echo(visible(line), err=True)
    click.echo(f"Open {visible(str(Path(to) / 'index.html'))}")


@main.command()
@click.argument("logs", nargs=-1, type=click.Path(path_type=str), metavar="LOGS...")
@click.option("--as", "as_", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--explain", type=int, metavar="NUMBER", help="Explain a problem by its number, with an example.")
@click.option("--pages", is_flag=True, help="Work each log out as well, up to its pages; slower, and nothing is kept.")
def check(logs: tuple[str, ...], as_: str, explain: int | None, pages: bool) -> None:
    """Check LOGS for lines it can't read. Exit 0: all fine. 1: errors. 2: file can't be read.

    \b
    Examples:
      logbook check van.txt
      logbook check . --as json
      logbook check . --pages
      logbook check --explain 12
    """
    if explain is not None:
        from logbook.commands.checking import explanation

        said = explanation(explain)
        if not said:
            _stop(f"there is no problem number {explain}")
        click.echo(said, nl=False)
        return
    if not logs:
        raise click.UsageError("Missing argument 'LOGS...'.")
    from logbook.commands.checking import check_logs, text_lines

    checked = _guarded(lambda: check_logs(logs, pages))
    if as_ == "json":
        from logbook.commands.check_data import as_data

        click.echo(json.dumps(as_data(checked), indent=1))
    else:
        for line in text_lines(checked):
            click.echo(line)
    sys.exit(checked.status)


@main.command()
@_LOGS
@click.option("--check", "only_check", is_flag=True, help="Change nothing; exit with 1 where a log is not tidy.")
def tidy(logs: tuple[str, ...], only_check: bool) -> None:
    """Tidy LOGS. Nothing changes in meaning; notes are left as they are.

    \b
    Examples:
      logbook tidy van.txt
      logbook tidy . --check
    """
    from logbook.commands.tidying import tidy_logs

    lines, status = _guarded(lambda: tidy_logs(logs, only_check))
    for line in lines:
        click.echo(line)
    sys.exit(status)


@main.command(name="next")
@click.argument("log", type=click.Path(path_type=str))
def next_(log: str) -> None:
    """What to test next, with minutes, cautions and what each outcome would mean.

    \b
    Example:
      logbook next van.txt
    """
    from logbook.commands.advice import next_lines

    for line in _guarded(lambda: next_lines(log)):
        click.echo(line)


@main.command()
@click.argument("file", type=click.Path(path_type=str))
@click.option("--job", "title", help="What the job is, in a few words.")
@click.option("--symptom", help="What is wrong, as the customer says it.")
@click.option("--vehicle", help="What the engine is in.")
@click.option("--engine", help="For example: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug")
@click.option("--units", type=click.Choice(["us", "metric"]))
@click.option("--day", help="The first day, as 2026-05-04. [default: today]")
def start(file: str, **given: str | None) -> None:
    """Write the first lines of a new log: from the options, or asked one by one.

    \b
    Examples:
      logbook start van.txt
      logbook start van.txt --job "Parcel van" --symptom "shakes at idle" --engine "V6, coil on plug" --units metric
    """
    from pathlib import Path

    from logbook.commands.skeleton import write_skeleton

    ask = not any(given.values()) and sys.stdin.isatty()
    for line in _guarded(lambda: write_skeleton(Path(file), given, time.strftime("%Y-%m-%d"), ask)):
        click.echo(line)


@main.command()
@click.argument("folder", type=click.Path(path_type=str))
def sample(folder: str) -> None:
    """Write eight sample logs into FOLDER, with their pictures and recordings, to play with.

    \b
    Example:
      logbook sample samples
    """
    from pathlib import Path

    from logbook.commands.samples import write_samples

    for line in _guarded(lambda: write_samples(Path(folder))):
        _say(line)


@main.command()
@click.option(
    "--colours",
    "--colors",
    "colours",
    type=click.Path(path_type=str, file_okay=False),
    metavar="FOLDER",
    help="Write grammar files into FOLDER, for editors that only colour; start no server.",
)
def editor(colours: str | None) -> None:
    """Serve an editor that speaks the Language Server Protocol, over standard input and output.

    \b
    Your editor starts this by itself; README says how. It needs the extra 'editor':
      pip install 'shop-logbook[editor]'
    """
    if colours is not None:
        from pathlib import Path

        from logbook.editor.grammars import write_grammars

        for path in _guarded(lambda: write_grammars(Path(colours))):
            _say(f"Written: {path}")
        return
    try:
        from logbook.editor.server import serve
    except ImportError as error:
        if (error.name or "").partition(".")[0] not in ("pygls", "lsprotocol"):
            raise
        _stop("the server for editors needs a library that is not there", "pip install 'shop-logbook[editor]'")
    serve()


@main.command()
@click.argument("log", type=click.Path(path_type=str))
@click.option(
    "--to",
    "to",
    type=click.Path(path_type=str),
    help="The page to write, a .html file; its stylesheet goes beside it. [default: beside the log]",
)
def sheet(log: str, to: str | None) -> None:
    """A page to print and take to the truck: the next tests in order, with boxes for each cylinder.

    \b
    Example:
      logbook sheet van.txt --to van-sheet.html
    """
    from pathlib import Path

    from logbook.commands.advice import write_sheet

    page, style = _guarded(lambda: write_sheet(log, Path(to) if to else None))
    where = "" if to else ", beside the log; --to puts them elsewhere"
    click.echo(f"Written: {visible(str(page))} and its stylesheet {visible(style.name)}{where}.")
    click.echo(f"Open and print {visible(str(page))}")


main.add_command(_Work(name="work", help="Work out one number and show the working."))
