# ruff: noqa: E501  the rows of the table stand in one line each
"""What a job can complain of: one row a fault, numbers 500 to 599, worded for the person who wrote the log."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from logbook.problems import Problem, Weight
from logbook.spans import Span


@dataclass(frozen=True, slots=True)
class Fault:
    """A row: ``message`` and ``mend`` are filled in by name, ``why`` explains the number for ``check --explain``."""

    slug: str
    number: int
    weight: Weight
    message: str
    mend: str
    why: str


_E, _D, _H = Weight.ERROR, Weight.DOUBT, Weight.HINT

_ROWS: tuple[Fault, ...] = (
    # the engine card
    Fault("no engine", 501, _E, "{what} speaks of cylinders, but no engine has been described yet.",
          "write the engine on the card, above the first day: 'engine: V6, left 1 3 5, right 2 4 6, coil on plug'",
          "Cylinders are counted from the engine card, so it must stand above the first entry that names one."),
    Fault("engine unread", 502, _E, "How many cylinders '{text}' has could not be read.",
          "write the layout and the count: 'engine: inline 4', 'engine: V8', 'engine: flat four' (1 to 16 cylinders)",
          "The card must say the layout and the count of cylinders; everything about cylinders rests on it."),
    Fault("banks wrong", 503, _D, "The banks ({banks}) do not hold the cylinders 1 to {count} once each; they were not used.",
          "write each cylinder in one bank: 'engine: V6, left 1 3 5, right 2 4 6'",
          "A bank list with a cylinder missing, twice or too many says nothing sure about feeds and neighbours."),
    Fault("banks unknown", 504, _D, "The card does not say which cylinders stand in which bank; taken as {banks}.",
          "add the banks as seen from the driver's seat: '{banks}'",
          "Makers number the banks of V and flat engines differently, and shared feeds and gasket bridges go by bank."),
    Fault("firing order wrong", 505, _D, "The firing order '{order}' does not name the cylinders 1 to {count} once each; it was not used.",
          "write each cylinder once: 'fires 1 3 4 2'",
          "Waste-spark pairs and crossed leads are worked out from the firing order."),
    Fault("pairs unknown", 506, _D, "The card says that coils serve pairs, but not which cylinders share one.",
          "add the firing order, or write 'shared coil: 1 4, 2 3'",
          "Cylinders on one waste-spark coil fail together, so the pairs must be known."),
    Fault("no such cylinder", 507, _E, "There is no cylinder {number}: the engine has {count}.",
          "check the number, or the count of cylinders on the engine card",
          "A number beyond the engine's count is nearly always a slip of the finger."),
    Fault("bank unknown", 508, _E, "The engine has no {bank} bank.",
          "name its banks on the engine card: 'left 1 3 5, right 2 4 6'; this one has {banks}",
          "Banks are called as the card calls them."),
    Fault("engine unknown", 509, _E, "No engine or donor is called '{name}'.",
          "describe it first: 'engine {name}: inline 4', or leave the name out",
          "In a log with two engines the head of an entry names the one that is meant."),
    Fault("no such parts", 510, _E, "By its card this engine has no {kind}s.",
          "say on the card what it has ('coil near plug, leads', 'injection port'), or correct the part",
          "Carburettor and single-point engines have no injector at a cylinder, coil-on-plug engines no leads, diesels no coils."),
    # tags and donors
    Fault("undeclared", 511, _E, "{kind} '{tag}' has not been declared in this log.",
          "declare it above: 'parts {kind}: {tag} from D1'{near}",
          "A tag is declared once, with what it is and where it came from, before anything is written about it."),
    Fault("declared twice", 512, _E, "'{tag}' is declared twice as {kind}; the first one counts.",
          "give the second part another tag",
          "Two parts with one tag cannot be told apart afterwards."),
    Fault("tag ambiguous", 513, _E, "'{tag}' could be {choices}.",
          "write which one: {mends}",
          "A bare tag must lead to one part alone."),
    Fault("donor undeclared", 514, _D, "'{donor}' is not a donor of this log.",
          "declare it on the card: 'donor {donor}: where it came from, sat 3 months'",
          "Where a part comes from, and how long it sat, changes what is to be expected of it."),
    Fault("homes uneven", 515, _D, "{parts} tags stand at {places} places; where they come from was left out.",
          "as many tags as places: 'parts coil: A1-A4 from D1 at 1-4'",
          "Tags and places are matched one to one, in order."),
    Fault("already named", 516, _D, "The {kind} found in {place} is already called {name}.",
          "keep one name for it, or say where the other part came from: 'from D1'",
          "A part that was found in its place can be named later, once."),
    Fault("elsewhere unknown", 517, _E, "No log of this folder declares {kind} '{tag}'.",
          "check donor and tag, or build the report together with the log that declares them",
          "A part from another log is written donor/tag; that name is the only link between logs."),
    Fault("home unclear", 518, _H, "Whether {tags} of {donor} stood in this engine from the beginning is not said.",
          "if this engine is the one of {donor}, say so on its card: 'engine: inline 4, from {donor}'; else fit them where they go",
          "Tags 'from D1 at 1-4' are the parts found in this engine only where the card says that the engine is D1's."),
    # moving parts
    Fault("swap with itself", 520, _E, "{place} cannot be swapped with itself.",
          "name the two places: 'swap {kind} {place} {other}'",
          "A swap changes two places."),
    Fault("one-place swap", 521, _E, "A swap needs two places; only {place} is named.",
          "'fit {kind}: new in {place}' for another part, or 'swap {kind} {place} {other}'",
          "Who wants to put another part in writes fit; swap means that two parts changed places."),
    Fault("swap of what", 522, _E, "The entry does not say which part was {done}.",
          "name it: '{action} coil {places}', '{action} injector {places}'",
          "Coils, leads, plugs and injectors stand in the same places."),
    Fault("tag and place", 523, _E, "'{tag}' is a part and '{place}' is a place: the two cannot change places.",
          "'fit {kind}: {tag} in {place}' to put it in, or name two places or two parts",
          "A swap is between two places, or between two parts that both stand in one."),
    Fault("not standing", 524, _E, "{part} does not stand in any place, so it cannot be {done}.",
          "'fit {kind}: {tag} in 3' puts it in",
          "Only a part that stands in a place can change places or be taken out."),
    Fault("stood elsewhere", 525, _D, "{part} still stood in {place}; it is taken to have left there, which stays empty.",
          "write how it came out: 'remove {kind}: {place}', or what went in there",
          "A part cannot stand in two places at once."),
    Fault("sent away", 526, _D, "{part} was {gone} before this.",
          "check the tag, or write that it came back: 'returned'",
          "A part that was sent, sold or scrapped does not come back by itself."),
    Fault("nothing moved", 527, _E, "Nothing of that kind had changed at {places}, so nothing can be put back.",
          "write what was done: 'swap {kind} {places}', or 'fit {kind}: old {first} in {first}'",
          "Put back undoes the latest swap, fit or removal of the same part at the same place."),
    Fault("empty place", 528, _D, "By the entries above no {kind} stands in {place}.",
          "write the entry that put one in, or check the place",
          "The log took it out and nothing put one back."),
    Fault("fit what", 529, _E, "'fit {kind}: {place}' does not say what was put in.",
          "'fit {kind}: new in {place}' for a new one, 'fit {kind}: old {place} in {place}' or 'put back {kind}: {place}' for its own",
          "What was fitted decides what is to be expected of it."),
    Fault("fit where", 530, _E, "The entry does not say where {part} went.",
          "add the place: 'fit {kind}: {tag} in 3'",
          "A part that is fitted stands in a place."),
    Fault("fit uneven", 531, _E, "{parts} parts cannot go into {places} places.",
          "as many parts as places: 'fit {kind}: A1 in 1, A2 in 2'",
          "Each place holds one part of a kind."),
    Fault("left empty", 532, _D, "After this move nothing stands in {place}, and what stood in {into} lies on the shelf.",
          "if the two changed places: 'swap {kind} {place} {into}'; a ring names every place: '1 to 2, 2 to 3, 3 to 1'",
          "A move that is no ring leaves a hole behind."),
    Fault("already there", 533, _H, "{part} already stood in {place}.",
          "nothing is needed; if it had been out, write 'remove {kind}: {place}' before",
          "The entry changes nothing."),
    Fault("two into one", 534, _E, "Two parts cannot both go into {place}.",
          "name each place once",
          "Each place holds one part of a kind."),
    # readings
    Fault("correction without match", 540, _E, "There is no earlier {kind} of {subject} to correct.",
          "{candidates}",
          "A correction replaces the latest earlier reading of the same kind, words and subject, or that of the day it names."),
    Fault("same as what", 541, _E, "'same' has nothing to refer to: {subject} was not seen before.",
          "write what was seen: '{mend}'",
          "'same' repeats what was last seen there."),
    Fault("moved without a move", 542, _E, "'now moved' needs a swap or a move of places in the same entry.",
          "write what was seen: 'now 3 dead, 1 fires'",
          "'moved' says that the states changed places together with the parts."),
    Fault("row uneven", 543, _E, "{values} values stand in a row for {places} places.",
          "write one value a place, '-' for one not done, or name them: '1 90, 3 85'",
          "A row goes by order, so one value too few would shift all that follow."),
    Fault("named twice", 544, _E, "{subject} is named twice in one entry; the first one counts.",
          "keep one of the two, or write the second as an entry of its own",
          "Two values for one place in one moment cannot both be right."),
    Fault("rest of none", 545, _D, "'rest' has nothing left: every one is named.",
          "leave 'rest' out, or check the numbers",
          "'rest' means all that the entry does not name."),
    Fault("no old part", 546, _E, "There is no 'old {number}': the log began with {count} cylinders.",
          "'old 3' is the part that stood in 3 when the log began",
          "Old and a number name the part that was found in that place."),
    Fault("which one", 547, _D, "More than one {kind} has stood in {place}; which one it was is not said.",
          "name the part: '{mends}'",
          "The archive learns from the cause, so it must know whether the found part or a later one was bad."),
    Fault("not a cylinder", 548, _E, "'{subject}' is no cylinder, bank or part that this entry can be about.",
          "write a number of a cylinder, a bank or a declared tag",
          "Only what stands on the card or was declared can be spoken of."),
    # trade
    Fault("no order", 550, _D, "No order called '{order}' has been written.",
          "write it first: 'order {order}: what they want'{near}",
          "What was picked or sent belongs to an order, so that the open ones can be listed."),
    Fault("picked twice", 551, _D, "{part} was already picked for {order}.",
          "check the tag, or write 'returned {order}' before",
          "One part cannot go to two buyers."),
    Fault("order twice", 552, _H, "The order '{order}' is written twice; both lines are kept under it.",
          "nothing is needed if the same buyer wants more",
          "An order is known by its name."),
    # between logs, and copies
    Fault("address taken", 560, _D, "The address '{address}' is already used by {other}; this job goes to '{given}'.",
          "give one of the two another 'address:'",
          "Each job needs a place of its own in the report."),
    Fault("address unusable", 561, _D, "'{text}' cannot be an address; the file's name is used.",
          "letters, digits and '-': 'address: crane-truck'",
          "An address becomes the name of a folder on any system."),
    Fault("private again", 565, _D, "A private value ({kind}) stands again in free text; the public copy masks it.",
          "reword it, or mark the line 'private'",
          "What is private on the card must not come out through a note, a caption or a file's name."),
    Fault("private short", 566, _D, "A private value ({kind}) of fewer than 4 characters is not masked where it stands in free text.",
          "look through the notes before the public copy is published",
          "Short words stand everywhere, so masking them would garble the text."),
)  # fmt: skip

FAULTS = MappingProxyType({row.slug: row for row in _ROWS})
BY_NUMBER = MappingProxyType({row.number: row for row in _ROWS})


class _Words(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return ""


def complain(slug: str, span: Span, related: tuple[Span, ...] = (), /, **words: object) -> Problem:
    """The problem of a row, its words filled in; a word that is not given is left out."""
    row = FAULTS[slug]
    filled = _Words({name: str(word) for name, word in words.items()})
    message, mend = row.message.format_map(filled), row.mend.format_map(filled)
    return Problem(row.number, row.weight, span, message[:1].upper() + message[1:], mend, related)
