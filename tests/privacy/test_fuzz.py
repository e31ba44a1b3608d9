"""A few of the invented workshops; ``python -m tests.privacy.fuzz 500`` tries many."""

from __future__ import annotations

import pytest

from tests.privacy.fuzz import tried
from tests.privacy.searching import Secret, search


@pytest.mark.parametrize("number", range(4))
def test_no_secret_of_a_workshop_is_in_its_public_copy(number: int) -> None:
    one = tried(number)
    assert one.said == ""
    assert [(hit.secret, hit.file, hit.around) for hit in one.hits] == []
    assert one.masked > 0 and len(one.lost) * 100 < one.masked  # under 1 % of what is masked is no secret
    assert one.found_in_shop > 20  # the search finds what is there


@pytest.mark.parametrize(
    ("secret", "text"),
    [
        (Secret("name", "Zößler"), "van of zoessler"),
        (Secret("name", "Zößler"), "<p>Zösslers</p>"),
        (Secret("phone", "0171 2345678"), "tel +49 (171) 23 45-678"),
        (Secret("code", "QX 4821"), '"qx-4821"'),
        (Secret("price", "41.87"), "41,87 eur"),
        (Secret("last", "7346"), "ends in 7346"),
        (Secret("ordinary", "Baker"), "and Baker's brother"),
    ],
)
def test_the_search_finds_every_spelling(secret: Secret, text: str) -> None:
    assert search({"a.html": text.encode()}, [secret])
    assert not search({"a.html": b"the baker sat at 11.8 V for 4 h, 2026-05-04"}, [secret])
