"""What to test or try next."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis.answers import Step
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.trouble import Trouble


def propose(belief: Belief, troubles: Sequence[Trouble]) -> tuple[Step, ...]:
    return ()
