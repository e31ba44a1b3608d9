"""The way in. ``check`` with nothing but names is what an editor runs at every save: it starts at once."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from functools import partial


def main() -> None:
    """Run a command. A check without options goes without what reads options, and colours only what has problems."""
    gc.set_threshold(50_000)  # loading the tables makes many objects and no rubbish
    command, *names = sys.argv[1:] or [""]
    if command == "check" and names and not any(name.startswith("-") for name in names):
        _check(names)
    from logbook.cli import main as command_line

    command_line(prog_name="logbook")


def _check(names: Sequence[str]) -> None:
    """Check and exit; where a log cannot be read it is the command line's to say why."""
    from logbook.build.discovery import CannotRead
    from logbook.commands.checking import check_logs, text_lines
    from logbook.commands.screen import settle_output

    try:
        checked = check_logs(names)
    except CannotRead:
        return
    except KeyboardInterrupt:
        sys.exit("Aborted!")
    say, colour = print, settle_output()
    if any(file.problems for file in checked.files):
        import click

        say = partial(click.echo, color=colour)
    try:
        for line in text_lines(checked):
            say(line)
        sys.stdout.flush()
    except BrokenPipeError:  # 'check . | head': the reader has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # for what is flushed at the very end
    sys.exit(checked.status)
