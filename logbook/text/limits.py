"""Named bounds of a log. Each has a problem that says the limit, so that no input can make the reader slow or large."""

from __future__ import annotations

MOST_BYTES = 4_000_000  # of a log; no more are read off the disk than show that there are more
MOST_LINE_CHARACTERS = 4_000  # of a line that is read as an entry or a day
MOST_NOTE_CHARACTERS = 20_000  # of a line of a note
MOST_ENTRIES = 10_000  # of a log; the rest is not read
MOST_CYLINDERS = 16
MOST_ENGINES = 40  # of a log
MOST_RUN = 100  # members of 'A1-A100'
MOST_MEMBERS = 200  # subjects or values of one entry
MOST_TAGS = 800  # parts that a log declares; each has a page
MOST_OPENED = 100_000  # members of all runs of a log
MOST_PROBLEMS = 3_000  # of a log; behind so many errors the rest is not read
MOST_DIGITS = 12  # of a number
MOST_NOTE_DEPTH = 20  # quotes and lists within one another
MOST_SUGGESTIONS = 60  # searches for the nearest word in one log
