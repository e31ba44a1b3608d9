"""The one table of kinds, a module a heading. ``logbook.text.vocabulary`` looks things up in it."""

from __future__ import annotations

from logbook.text.kinds.actions import ACTIONS
from logbook.text.kinds.build import BUILD
from logbook.text.kinds.card import CARD
from logbook.text.kinds.measures import MEASURES
from logbook.text.kinds.parts import PARTS
from logbook.text.kinds.row import Kind, Slot
from logbook.text.kinds.running import RUNNING
from logbook.text.kinds.shop import SHOP
from logbook.text.kinds.tests import TESTS

TABLE: tuple[Kind, ...] = (*CARD, *PARTS, *TESTS, *MEASURES, *ACTIONS, *BUILD, *RUNNING, *SHOP)

__all__ = ["TABLE", "Kind", "Slot"]
