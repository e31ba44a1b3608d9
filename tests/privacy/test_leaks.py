"""Each way in which a private value once came out, built as a public copy of several logs."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.privacy.fuzz import site_of

Published = Callable[..., dict[str, bytes]]

CARD = "units: metric\nmoney: eur\nengine: four in line, fires 1 3 4 2, coil on plug, injection port\n"
OWNER = f"job: Blue van\nowner: Jörg Quisbyß\nregistration: QX 4821\ncontact: +49 171 2345678\n{CARD}\n2026-05-04\n"
SHOP = "shop: Shed by the canal\npublic address: https://example.org/shed/\n"


@pytest.fixture
def published(tmp_path: Path) -> Published:
    """The public copy of logs by name; ``van.txt`` has the owner of all tests, whose values no page may show."""

    def publish(**logs: str) -> dict[str, bytes]:
        given = {"van": OWNER + "firing: 3 dead, rest fires\n", "shop": SHOP, **logs}
        return site_of(
            {f"{name.replace('__', '/')}.txt": text.encode() for name, text in given.items()}, tmp_path, "public"
        )

    return publish


def readable(site: dict[str, bytes], name: str = "") -> str:
    """All that can be read in a site, its names included; only files that begin with ``name``."""
    texts = [path for path in site if path.startswith(name)]
    texts += [html.unescape(data.decode("utf-8", "replace")) for path, data in site.items() if path.startswith(name)]
    return "\n".join(texts)


def pages(site: dict[str, bytes], name: str) -> str:
    """The same of a job's own pages alone."""
    return readable({path: data for path, data in site.items() if path.endswith(".html")}, name)


def other(*lines: str, title: str = "Green boat") -> str:
    return f"job: {title}\n{CARD}\n2026-05-05\nfiring: 2 dead, rest fires\n" + "".join(f"{line}\n" for line in lines)


def test_a_donor_of_one_log_is_masked_on_the_pages_of_another(published: Published) -> None:
    donor = "job: Wreck\nowner: Pölla Wuxenburg\ndonor D7: Wuxenburg's estate, paid 4321 eur, sat 3 months\n"
    site = published(
        wreck=f"{donor}{CARD}parts injector: W1-W4 from D7\n", boat=other("fit injector: W1 in 2", "look: x")
    )
    said = readable(site)
    assert "D7" in said and "3 months" in said  # the donor is told, its owner and price are not
    assert "wuxenburg" not in said.lower() and "4321 eur" not in said


def test_a_customer_of_one_log_is_masked_in_another(published: Published) -> None:
    lines = (
        "  quisbyß looked in", "  QUISBYSS was in", "  Quisbyß's brother", "  with the Quisbyßen", "  for Quisbyssowi",
        "  mail quisbyss@example.org", "  see https://example.org/quisbyss/film", "road: joerg was in", "  jorgs boat",
        "photo: quisbyss.jpg the QUISBYSS", "film: https://example.org/quisbyss first start", "cause: nest of Quisbyß",
        "torque head Quisbyss: 1 35, 2 35 Nm", "trace cranking: quisbyss.csv", "waiting quisbyss: two coils",
    )  # fmt: skip
    said = readable(published(boat=other(*lines))).lower()
    assert re.findall(".{30}(?:quisby|j(?:o|ö|oe)rg).{9}", said) == []
    assert said.count("[private]") > len(lines)


def test_a_customer_is_masked_in_title_feed_search_and_addresses(published: Published) -> None:
    site = published(
        jobs__quisbyss__boat=other("  note of Quisbyss", title="Boat of quisbyß"),
        jobs__joerg=other("  note"),
        jobs__jorg=other("  note"),
    )
    assert {
        "feed.xml",
        "search-data.js",
        "jobs/boat-1/index.html",
        "jobs-1/index.html",
        "jobs-2/index.html",
    } <= site.keys()
    assert not re.search("quisby|j(o|ö|oe)rg", readable(site).lower())


def test_numbers_are_masked_in_any_spacing(published: Published) -> None:
    numbers = (
        "QX 4821", "qx4821", "Q X 48 21", "qx-4821", "plate ends in 4821", "0171 2345678", "01712345678", "171/2345678",
        "+49 (171) 234 56 78", "0049171 2345678", "2345678", "ends in 5678", "... 45678",
    )  # fmt: skip
    site = published(boat=other(*(f"  call {said} at step{n}" for n, said in enumerate(numbers))))
    page = re.sub(r"\s", "", pages(site, "boat/"))
    assert [n for n in range(len(numbers)) if f"[private]atstep{n}" not in page] == []
    assert not re.search("5678|4821|2345", re.sub("[-/.]", "", page))


def test_what_was_paid_is_masked_in_notes(published: Published) -> None:
    shop = f"job: Wreck\n{CARD}donor D7: estate, paid 4321 eur\n\n2026-05-04\nspent: 41.87 coil\ngot 7: 350.00\n"
    paid = ("cost 41.87", "41,87 eur", "€ 41.87", "he paid 4321", "4321 euro", "got 350 for it", "another 999 eur")
    site = published(wreck=shop, boat=other(*(f"  {said}; torque was 350 Nm" for said in paid)))
    said = readable(site, "boat")
    assert re.findall(r".{20}(?<!\d)(?:41[.,]87|4321|999|350 for)", said) == []
    assert said.count("350 Nm") >= len(paid)
    assert "4321" not in readable(site, "wreck")


def test_where_a_private_entry_put_a_part_is_told_nowhere(published: Published) -> None:
    lines = (
        "parts coil: C1-C2",
        "private fit coil: C1 in 2",
        "resistance primary coil: C1 0.9 ohm",
        "swap coil: 2 3, now same",
    )
    site = published(boat=other(*lines))
    page = re.sub(r"<[^>]*>|\s+", " ", readable(site, "boat/parts/coil-c1"))
    assert "0.9 Ω" in page and "No entry that is shown puts it in an engine." in page
    assert not re.search(r"(in|at|cylinder|from) (2|3)\b", page)
    assert not re.search(r"C1[^.<;,]{0,30}\b(in|at|from|stood in|cylinder) [23]\b", pages(site, "boat/"))


def test_remarks_in_brackets_are_left_out(published: Published) -> None:
    lines = (
        "compression: 1 12.1, 2 3.0 bar (says zebra)",
        "cause coil: old 3 (zebra)",
        "look: fine (zebra)",
        "symptom: zzz (zebra)",
    )
    assert "zebra" not in readable(published(boat=other(*lines)))


def test_a_name_that_is_a_word_is_masked_only_where_it_is_meant(published: Published) -> None:
    names = ("Green", "Miller", "Stone")
    owners = "".join(f"owner: Ottokar {name}\n" for name in names)
    meant = [
        f"  {said}" for name in names for said in (f"then {name} came", f"ottokar {name.lower()}", f"o. {name.lower()}")
    ]
    plain = [f"wet {name.lower()} connector" for name in names]
    site = published(van=f"job: Blue van\n{owners}{CARD}", boat=other(*meant, *(f"  {p}" for p in plain), title="Boat"))
    said = pages(site, "boat/")
    assert [p for p in plain if p not in said] == []
    for name in names:
        assert not re.search(rf"(then {name}|o\. {name}|ottokar)", said, re.IGNORECASE)


def test_what_the_shop_file_keeps_private_counts_everywhere(published: Published) -> None:
    said = readable(
        published(shop=SHOP + "private: rent goes to Quoxley\n", boat=other("  Quoxley was here, quoxleys too"))
    )
    assert "quoxley" not in said.lower() and "Shed by the canal" in said


def test_a_number_behind_at_is_masked_like_any_other(tmp_path: Path) -> None:
    from logbook.job.copy import public_copy
    from logbook.job.ledger import build as ledger
    from logbook.text.reader import read

    card = "job: Van\nengine: inline 4, fires 1 3 4 2, coil on plug\nowner: Hogbin\ncontact: 059526518\n\n2026-05-04\n"
    job = ledger(read("van.txt", f"{card}compression: 1 12.1, 3 11.8 bar @ 4959526518 rpm\n".encode()))
    said = [c.text for r in public_copy(job).readings for c in r.conditions]
    assert said and not any("59526518" in text for text in said)


def test_a_number_that_was_read_as_a_value_is_left_out(tmp_path: Path) -> None:
    """A telephone number jotted into a row of readings is believed as a reading, and is one's number all the same."""
    from logbook.job.copy import public_copy
    from logbook.job.ledger import build as ledger
    from logbook.text.reader import read

    card = "job: Van\nengine: inline 4, fires 1 3 4 2, coil on plug\nowner: Hogbin\ncontact: 059526518\n\n2026-05-04\n"
    job = ledger(read("van.txt", f"{card}compression: 1 12.1, 3 59526518 bar\n".encode()))
    public = public_copy(job)
    assert [str(r.value.quantity.low) for r in public.readings if r.value.quantity] == ["12.1"]
    assert all("59526518" not in item.line_text and "59526518" not in item.entry.text for item in public.entries)
