"""Rubbish swept out at a moment of our own choice."""

from __future__ import annotations

import gc


def sweep() -> None:
    """Sweep out what refers to itself, and put what is left out of the collector's sight.

    Else the collector would look through all that is remembered of thousands of jobs whenever it comes, and because
    that takes long it would come the less often the more there is: rubbish would grow with the archive.
    """
    gc.collect()
    gc.freeze()
