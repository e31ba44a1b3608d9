"""Tools that are lent or lost: what needs one waits, and says why."""

from __future__ import annotations

from logbook.job.copy import copied
from logbook.job.tools import lacking
from logbook.text.reader import read
from tests.job.playing import job


def test_what_is_lent_is_missing_although_the_list_has_it() -> None:
    made = job("tools: compression gauge, multimeter", "lent: Compression gauge (to the neighbor)")
    assert made.lent == ("Compression gauge",)
    assert lacking(made, ("multimeter",)) == ""
    assert lacking(made, ("compression gauge",)) == "needs a compression gauge, which is lent or missing"


def test_what_is_lent_is_missing_without_any_list() -> None:
    assert lacking(job("lent: gauge"), ("compression gauge",))
    assert not lacking(job("lent: meter"), ("multimeter",))


def test_what_came_back_is_there_again() -> None:
    made = job("lent: pulse light, multimeter", "tool back: multimeter")
    assert made.lent == ("pulse light",)


def test_the_shops_own_file_says_so_for_all_jobs() -> None:
    shop = read("shop.txt", b"lent: multimeter\n")
    assert job(shop=shop).lent == ("multimeter",)
    assert job("tool back: multimeter", shop=shop).lent == ()


def test_who_has_it_stays_private() -> None:
    public = copied(job("lent: multimeter (to Ed Example)"), "public")
    assert public.lent == () and all("Ed" not in e.line_text for e in public.entries)
