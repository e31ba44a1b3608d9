"""Lists of cylinders as thumbs write them: '1,2,4 fires' and '1, 2, 4 fires'; and 'all but 3', which is not guessed."""

from __future__ import annotations

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.lexing import Token
from logbook.text.unread import Unread
from logbook.text.vocabulary import word_of

_LONGEST_PLACE = 2  # digits
_EXCEPT = frozenset({"but", "except", "bar", "besides"})
_READS = frozenset({"at", "is", "are", "reads", "with", "=", ":"})
_ALL = frozenset({"all", "each", "every", "everything"})


def is_place(token: Token) -> bool:
    """Whether a token can be a cylinder and nothing else, as '4' and '12'."""
    return token.kind == "number" and token.text.isdigit() and len(token.text) <= _LONGEST_PLACE


def without_glued_commas(found: list[Token]) -> list[Token]:
    """The tokens with '1,2,4' in front as '1 2 4'."""
    at = 0
    while at + 2 < len(found) and is_place(found[at]) and found[at + 1].text == "," and is_place(found[at + 2]):
        at += 2
    return [t for i, t in enumerate(found) if i >= at or t.text != ","] if at else found


def with_place_lists(items: list[Item], about: About) -> list[Item]:
    """The items with cylinders that share a word behind the last of them put into one.

    Only before a word: with a number behind it '1,2' may as well be a reading.
    """
    joined: list[Item] = []
    for item in reversed([_unglued(item, about) for item in items]):
        last = joined[-1] if joined else None
        if last is not None and _opens_list(item) and _says_word(last.tokens, about):
            joined[-1] = Item([*item.tokens, *last.tokens], last.remark, last.bracketed, item.start, last.end)
        else:
            joined.append(item)
    return joined[::-1]


def _opens_list(item: Item) -> bool:
    return len(item.tokens) == 1 and is_place(item.tokens[0]) and not item.bracketed


def _says_word(found: list[Token], about: About) -> bool:
    """Cylinders, then words of results alone."""
    at = next((i for i, t in enumerate(found) if not is_place(t)), len(found))
    said = "".join(t.text for t in found[at:])
    return 0 < at < len(found) and bool(word_of(said, about.measure.words))


def _unglued(item: Item, about: About) -> Item:
    plain = without_glued_commas(item.tokens)
    if plain is item.tokens:
        return item
    three = len(item.tokens) - len(plain) > 1  # '1,2,4' is no decimal
    alone = all(is_place(t) for t in plain)
    if (alone and not about.value_needed) or (_says_word(plain, about) and (three or not about.measure.numeric)):
        return Item(plain, item.remark, item.bracketed, item.start, item.end)
    return item


def check_all_but(item: Item, about: About) -> None:
    """'all ok but 3' leaves open what 3 does. Raises ``Unread``."""
    found = item.tokens
    if len(found) < 3 or found[0].text.casefold() not in _ALL:
        return
    at = next((i for i, t in enumerate(found) if t.text.casefold() in _EXCEPT), 0)
    if not at:
        return
    said, who, other = _around(found, at, about)
    if not said or not who:
        return
    named = " and ".join(t.text for t in who)
    other = other or next((w for w in ("dead", "none") if w in about.measure.words), "")
    mend = f"write '{named} {other}, rest {said}'" if other else f"write 'rest {said}', and {named} on its own"
    if other and not about.measure.numeric:
        mend += f", or whatever {'they do' if len(who) > 1 else 'it does'}"
    raise Unread(404, Span(found[0].start, found[-1].end), f"'all but {named}' is more than one reading.", mend)


def _around(found: list[Token], at: int, about: About) -> tuple[str, list[Token], str]:
    """What the others read, who is left out, and what those read, for 'all ok but 3' and 'all but 3 ok'."""
    stop = at + 1
    while stop < len(found) and (is_place(found[stop]) or found[stop].text.casefold() in ("#", "and", "for")):
        stop += 1
    who = [t for t in found[at + 1 : stop] if is_place(t)]
    before, behind = found[1:at], found[stop + (stop < len(found) and found[stop].text.casefold() in _READS) :]
    if not before:
        return _words(behind, about), who, ""
    if len(who) > 1 and about.measure.numeric and not behind:
        who, behind = who[:-1], who[-1:]
    return _words(before, about), who, _words(behind, about)


def _words(found: list[Token], about: About) -> str:
    said = " ".join(t.text for t in found)
    return word_of(said, about.measure.words) or said
