"""The shop's own file."""

from __future__ import annotations

from logbook.text.kinds.row import Kind

_HEADING = "The shop's file"

SHOP: tuple[Kind, ...] = (
    Kind("shop", _HEADING, "text", "What the shop is called.", "shop: Shed by the canal"),
    Kind(
        "tools",
        _HEADING,
        "text",
        "What the shop has; tests that need another tool wait.",
        "tools: compression gauge, pulse light, multimeter",
        synonyms=("tool",),
    ),
    Kind(
        "lent",
        _HEADING,
        "text",
        "Tools that are not in the shop: lent out or lost. Tests that need one wait.",
        "lent: compression gauge (to the neighbor)",
        synonyms=("lent out", "tool lent", "tools lent", "tool missing", "missing tool"),
        private=True,
    ),
    Kind(
        "tool back",
        _HEADING,
        "text",
        "A tool is there again.",
        "tool back: compression gauge",
        synonyms=("tools back", "tool found"),
    ),
    Kind(
        "hour rate",
        _HEADING,
        "many",
        "What an hour costs.",
        "hour rate: 60.00",
        dimension="money",
        synonyms=("labour rate", "rate per hour"),
        private=True,
    ),
    Kind(
        "public address",
        _HEADING,
        "text",
        "Where the public copy can be found.",
        "public address: https://example.org/shed/",
    ),
    Kind("limits", _HEADING, "text", "Whose limits hold, in words.", "limits: the maker's figure outranks all"),
    Kind(
        "knowledge file",
        _HEADING,
        "file",
        "A file that lies over the tables of causes.",
        "knowledge file: our-causes.toml",
        synonyms=("knowledge",),
    ),
)
