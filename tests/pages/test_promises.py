"""What a job waits for, when it is promised, what was quoted: shown; and a guess: shown as one, never reasoned with."""

from __future__ import annotations

from logbook.diagnosis.diagnose import diagnose
from logbook.job.copy import copied
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.pages.job_page import JobPage
from logbook.pages.more_pages import MoneyPage
from logbook.pages.of_job import Surroundings, job_pages
from logbook.text.reader import read

CARD = "job: Milk van\nunits: metric\nmoney: eur\nengine: inline 4, coil on plug, injection port\nsymptom: shakes\n"
TESTS = "2026-05-04\ncut-out: 1 60, 2 0, 3 62, 4 61\n"


def job(*lines: str) -> Job:
    return build(read("van.txt", (CARD + TESTS + "\n".join(lines) + "\n").encode()))


def front(made: Job) -> JobPage:
    page = job_pages(made, diagnose(made), (), Surroundings())[0].view
    assert isinstance(page, JobPage)
    return page


def test_what_is_awaited_and_promised_stands_with_where_it_stands() -> None:
    page = front(job("waiting: two coils", "promised: 2026-05-20", "promised: 2026-05-22"))
    assert ("Waiting for", "Two coils.") in page.facts
    assert page.sheet.urgent == "Wanted back 22 May."
    assert front(job("promised: friday")).sheet.urgent == "Wanted back: friday."


def test_nothing_is_promised_once_it_has_gone_home() -> None:
    assert front(job("promised: friday", "2026-05-06", "handed over: to K.")).sheet.urgent == ""


def test_a_guess_is_shown_and_changes_no_belief() -> None:
    guessed = job("guess: rings, from the smoke")
    assert ("Your guess", "rings, from the smoke. It counts for nothing here.") in front(guessed).facts
    one, other = diagnose(guessed), diagnose(job())
    assert one.cylinders == other.cylinders and one.next == other.next


def test_codes_that_were_cleared_are_no_codes() -> None:
    cleared, without = diagnose(job("codes cleared: P0302")), diagnose(job())
    assert cleared.cylinders == without.cylinders


def test_quoted_and_agreed_are_no_money_that_moved_and_stay_private() -> None:
    made = job("quote: 1800 labor", "agreed: 1650", "got: 300")
    page = next(p.view for p in job_pages(made, diagnose(made), (), Surroundings()) if p.path.endswith("money.html"))
    assert isinstance(page, MoneyPage)
    money = page.ledger
    assert money.agreed is not None and money.money is not None
    assert [[c.text for c in row] for row in money.agreed.rows] == [
        ["Quote", "4 May", "labor", "1800.00 eur"],
        ["Agreed", "4 May", "", "1650.00 eur"],
    ]
    assert money.money.rows[-1][-1].text == "300.00 eur"
    public = copied(made, "public")
    assert not any(t.kind in ("quote", "agreed") for t in public.trades)
