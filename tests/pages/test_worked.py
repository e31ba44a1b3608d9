"""Worked numbers as they stand on a page: nothing lost, and what is common to all inputs told once."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from logbook.findings.model import Input, Number
from logbook.pages.job_page import Surroundings, job_page
from logbook.pages.worked import worked_groups
from pages.example_job import diagnosis, job, numbers
from pages.site import look, page_html

BALANCE = numbers()[0]


def _page(*shown: Number) -> str:
    return page_html("pages/job.html", job_page(job(), diagnosis(), shown, Surroundings()))


def _worked(html: str) -> str:
    return html[html.index('id="worked"') :]


def _inputs(*entries: tuple[int, ...]) -> tuple[Input, ...]:
    return tuple(Input("d", f"drop {n}", f"{n} rpm", found) for n, found in enumerate(entries))


def test_inputs_of_one_entry_have_its_link_once() -> None:
    html = _worked(_page(replace(BALANCE, inputs=_inputs((13,), (13,), (13,)))))
    assert html.count(f'href="#{job().entries[13].anchor}"') == 1
    assert "All from" in html and all(f"drop {n}" in html for n in range(3))


def test_inputs_of_several_entries_have_each_its_own_link() -> None:
    html = _worked(_page(replace(BALANCE, inputs=_inputs((13,), (5,), (13,)))))
    assert html.count(f'href="#{job().entries[13].anchor}"') == 2
    assert html.count(f'href="#{job().entries[5].anchor}"') == 1
    assert "All from" not in html


@pytest.mark.parametrize("source", ["usual value", ""])
def test_a_usual_value_among_them_keeps_the_origins_apart(source: str) -> None:
    (group,) = worked_groups(
        job(), (replace(BALANCE, inputs=(*_inputs((13,)), Input("k", "k", "2", source=source))),), {}
    )
    assert not group.numbers[0].shared_origin


def test_every_part_of_every_number_is_on_the_page() -> None:
    said = " ".join(look(_page(*numbers(), replace(BALANCE, subject="3", cautions=("Cut fuel.",)))).words.split())
    for number in numbers()[:1]:
        wanted = [number.shown, number.sentence, number.source, *(w for i in number.inputs for w in (i.what, i.source))]
        assert [w for w in wanted if w and w not in re.sub("\u00a0", " ", said)] == []
    assert "Worked like the one above." in said
