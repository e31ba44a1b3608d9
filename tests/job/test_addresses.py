"""Addresses of jobs: safe on any system, unique without regard to case, the same whatever the order."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.job.addresses import address_of, addresses, declared_address

SAFE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*(/[a-z0-9]+(-[a-z0-9]+)*)*")
DEVICES = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}


@pytest.mark.parametrize(
    ("path", "address"),
    [
        ("jobs/Crane Truck.txt", "jobs/crane-truck"),
        ("./jobs/crane.txt", "jobs/crane"),
        ("../jobs\\Crane.txt", "jobs/crane"),
        ("Käfer, zweiter.txt", "kafer-zweiter"),
        ("Straße.txt", "strasse"),
        ("a.b.txt", "a-b"),
    ],
)
def test_an_address_is_the_path_in_plain_letters(path: str, address: str) -> None:
    assert address_of(path) == address


@pytest.mark.parametrize("name", ["con.txt", "NUL.txt", "Com1.txt", "aux.TXT"])
def test_names_of_devices_get_a_hash(name: str) -> None:
    assert address_of(name).split("/")[-1] not in DEVICES
    assert re.fullmatch(r"[a-z0-9]+-[0-9a-f]{6}", address_of(name))


@given(st.text(min_size=1))
def test_any_path_gives_a_safe_address(path: str) -> None:
    for address in (address_of(path), declared_address(path)):
        assert not address or SAFE.fullmatch(address)
        assert not DEVICES & set(address.split("/"))
        assert all(len(step) <= 71 for step in address.split("/"))
    assert address_of(path)


@given(st.sets(st.text(alphabet="aAbBäÄ .-/1", min_size=1, max_size=6), min_size=1, max_size=8), st.randoms())
def test_addresses_are_unique_and_do_not_depend_on_order(paths: set[str], random: object) -> None:
    logs = [(f"{path}.txt", "") for path in sorted(paths)]
    given_once = addresses(logs, reserved=("a", "parts"))
    assert len({address.casefold() for address in given_once.values()}) == len(logs)
    assert not {"a", "parts"} & set(given_once.values())
    random.shuffle(logs)  # type: ignore[attr-defined]
    assert addresses(logs, reserved=("a", "parts")) == given_once


def test_a_declared_address_comes_before_the_alphabet() -> None:
    given_once = addresses([("crane.txt", ""), ("old/truck.txt", "Crane")])
    assert given_once["old/truck.txt"] == "crane"
    assert re.fullmatch(r"crane-[0-9a-f]{6}", given_once["crane.txt"])
