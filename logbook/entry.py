"""The way in. ``check`` with nothing but names is what an editor runs at every save: it starts at once."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence


def main() -> None:
    """Run the command line; what reads options is not loaded where a check has none and finds nothing."""
    command, *names = sys.argv[1:] or [""]
    if command == "check" and names and not any(name.startswith("-") for name in names) and _said_fine(names):
        return
    from logbook.cli import main as command_line

    command_line(prog_name="logbook")


def _said_fine(names: Sequence[str]) -> bool:
    """Say so where every line of the logs is understood; else it is the command line's to say what is not."""
    from logbook.build.discovery import CannotRead
    from logbook.commands.checking import check_logs, text_lines
    from logbook.commands.screen import settle_output

    gc.set_threshold(50_000)  # loading the tables makes many objects and no rubbish
    try:
        checked = check_logs(names)
    except CannotRead:
        return False
    except KeyboardInterrupt:
        sys.exit("Aborted!")
    if any(file.problems for file in checked.files):
        return False
    settle_output()
    for line in text_lines(checked):
        print(line)
    return True
