"""Invented workshops whose logs hold secrets in every place and spelling; each from the number it begins with."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from dataclasses import dataclass, field

from PIL import Image

from tests.privacy.searching import Secret

_FIRST = ("Zy", "Quo", "Wik", "Brö", "Kjæ", "Łu", "Vé", "Xu", "Jø", "Dzu", "Fyl", "Gwy", "Hüz", "Zoß", "Çev")
_THEN = ("zko", "vyn", "qvi", "dzy", "xol", "wuk", "gzö", "lüv", "bré", "kha", "jza", "ñuz")
_LAST = ("k", "x", "wski", "vist", "zar", "ß", "quez", "fjörd", "dez", "nyk", "v")
_BOTH = ("Baker", "Stone", "Fisher", "Green", "Walker", "Miller", "Porter")  # names that are words too

# Said in every workshop; none of it is private, so the public copy has to keep it.
PHRASES = (  # no line with a problem among them
    "wet green connector under the bracket", "stone in the lower hose", "the mill ran next door all day",
    "baked it dry in the oven for two hours", "gap opened to 0.8 mm", "torque wrench clicked at 35 Nm",
    "idles at 820 rpm and then dies", "cable tie through the third hole", "white dust on the electrode",
    "turned the engine by hand twice", "it stumbles at 2200 rpm in third", "red wire had 11.8 V with key on",
    "walked around it with the lamp", "the long bolt goes at the front", "started after 4 tries on 12 May",
    "page 214 of the manual says so", "fishing for the dropped washer took long", "head gasket looks fine",
    "the porter pulled it in on a rope", "spring clip is missing on one side",
)  # fmt: skip


@dataclass
class Workshop:
    """``files`` is by path. ``phrases`` stand on public lines; each may be there several times."""

    files: dict[str, bytes] = field(default_factory=dict)
    secrets: list[Secret] = field(default_factory=list)
    phrases: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Person:
    name: str
    ordinary: str
    phone: str
    plate: str
    frame: str

    @property
    def secrets(self) -> list[Secret]:
        said = [Secret("name", self.name), Secret("phone", self.phone), Secret("code", self.plate)]
        said += [Secret("code", self.frame), Secret("last", self.phone[-4:])]
        return said + ([Secret("ordinary", self.ordinary)] if self.ordinary else [])


def workshop(number: int) -> Workshop:
    """The same for the same number."""
    return _Maker(random.Random(number)).make()


class _Maker:
    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.shop = Workshop()
        self.people: list[_Person] = []
        self.prices: list[str] = []

    def make(self) -> Workshop:
        self.people = [self._person() for _ in range(self.dice.randint(2, 4))]
        self.prices = [self._price() for _ in range(4)]
        for person in self.people:
            self.shop.secrets += person.secrets
        self.shop.secrets += [Secret("price", price) for price in self.prices]
        self.shop.files["shop.txt"] = (
            f"shop: Shed by the canal\npublic address: https://example.org/shed/\n"
            f"private: rent to {self.people[-1].name}\nhour rate: 77.31 eur\n"
        ).encode()
        for n, person in enumerate(self.people):
            self._log(n, person)
        return self.shop

    # What is secret

    def _person(self) -> _Person:
        dice = self.dice
        name = dice.choice(_FIRST) + dice.choice(_THEN) + dice.choice(_LAST)
        digits = "0" + dice.choice("123456789") + "".join(dice.choices("0123456789", k=dice.randint(7, 9)))
        last = str(dice.choice([n for n in range(2301, 9899) if n != 4711]))  # 4711 is in an example of the language
        letters = "BCDFGHJKLMNPQRSTVWXZ"
        plate = "".join(dice.choices(letters, k=2)) + " " + "".join(dice.choices("23456789", k=4))
        frame = (
            "".join(dice.choices(letters + "0123456789", k=9)) + dice.choice(letters) + str(dice.randint(10**6, 10**7))
        )
        return _Person(name, dice.choice((*_BOTH, "", "")), digits[:-4] + last, plate, frame)

    def _price(self) -> str:
        return self.dice.choice(
            (f"{self.dice.randint(31, 99)}.{self.dice.randint(11, 99)}", str(self.dice.randint(2101, 9899)))
        )

    # How it is written again

    def _again(self) -> str:
        """One secret of anybody's, in some spelling."""
        person = self.dice.choice(self.people)
        ways: list[Callable[[_Person], str]] = [
            self._name,
            self._name,
            self._phone,
            self._plate,
            self._frame,
            self._mail,
        ]
        return self.dice.choice(ways)(person)

    def _anything(self) -> str:
        """The same, or what was paid: for notes and free text, where readings cannot be meant."""
        last = self.dice.choice(self.people).phone[-4:]
        ways = [self._again(), self._again(), self._again(), self._paid(), f"number ends in {last}", f"...{last}"]
        return self.dice.choice(ways)

    def _name(self, person: _Person) -> str:
        dice = self.dice
        if person.ordinary and dice.random() < 0.3:
            return dice.choice((person.ordinary, f"{person.ordinary}'s", f"{person.name} {person.ordinary}"))
        name = dice.choice(
            (
                person.name,
                person.name,
                person.name.lower(),
                person.name.upper(),
                _long(person.name),
                _short(person.name),
            )
        )
        return dice.choice(
            (name, name, f"{name}'s", f"{name}s", f"{name}en", f"{name}ow", f"{_short(name)}_van", f"de{name.lower()}")
        )

    def _phone(self, person: _Person) -> str:
        digits, dice = person.phone, self.dice
        start = dice.choice((digits, digits, f"+49{digits[1:]}", f"0049{digits[1:]}", digits[1:]))
        return dice.choice(
            (start, self._spaced(start), f"tel {self._spaced(start)}", start[:-7] + dice.choice("-/ ") + start[-7:])
        )

    def _spaced(self, digits: str) -> str:
        found, mark = digits[:2], self.dice.choice((" ", "-", " ", "."))
        for digit in digits[2:]:
            found += (mark if self.dice.random() < 0.35 else "") + digit
        return found

    def _plate(self, person: _Person) -> str:
        plate = self.dice.choice((person.plate, person.plate.lower()))
        return plate.replace(" ", self.dice.choice((" ", "", "-", "_", " - ", ".")))

    def _frame(self, person: _Person) -> str:
        frame = self.dice.choice((person.frame, person.frame.lower()))
        return self.dice.choice(
            (frame, " ".join(frame[i : i + 4] for i in range(0, len(frame), 4)), f"{frame[:3]}-{frame[3:]}")
        )

    def _mail(self, person: _Person) -> str:
        name = _short(person.name).lower()
        return self.dice.choice(
            (f"{name}@example.org", f"me@{name}.example", f"j.{name}77@example.org", f"https://example.org/{name}/film")
        )

    def _paid(self) -> str:
        price = self.dice.choice(self.prices)
        comma = price.replace(".", ",")
        return self.dice.choice(
            (
                f"cost {price} eur",
                f"paid {price}",
                f"€{comma}",
                f"{comma} euro",
                f"EUR {price}",
                f"{price}€",
                f"took ${price} for it",
            )
        )

    # The logs

    def _note(self) -> str:
        one, other = self._phrase(), self._phrase()
        return self.dice.choice(
            (f"{one}, {self._anything()}, {other}", f"{self._anything()}: {one}", f"{one}; {self._anything()}")
        )

    def _phrase(self) -> str:
        return self.dice.choice(PHRASES)

    def _maybe(self, line: str) -> str:
        return line if self.dice.random() < 0.6 else ""

    def _log(self, n: int, person: _Person) -> None:
        dice = self.dice
        folder = dice.choice(("", "", "jobs/", f"{_short(person.name)}/", f"{self._file(person.name)}s/"))
        stem = dice.choice((f"van{n}", f"van{n}-{self._file(self._again())}", f"{self._file(self._again())}{n}"))
        photo, trace = f"{self._file(self._again())}-p{n}.jpg", f"{self._file(self._again())}-t{n}.csv"
        hidden = f"{self._file(self._again())}-h{n}.jpg"
        bracket = f"Bracket{'abcdefgh'[n]}zzkyword"
        self.shop.secrets.append(Secret("name", bracket))
        tag = "ABCDEFGH"[n]
        owner = (
            f"{person.name} {person.ordinary}".strip()
            if dice.random() < 0.5
            else f"{person.ordinary} {person.name}".strip()
        )
        donor = f"D{n + 1}"
        lines = [
            f"job: Van {n} {dice.choice(('', self._again()))}",
            f"owner: {owner}", f"contact: {person.phone}",
            f"registration: {person.plate}", f"identification: {person.frame}",
            "units: metric", "money: eur",
            "engine: four in line, fires 1 3 4 2, coil on plug, injection port",
            self._maybe(f"vehicle: parcel van, {self._again()}"),
            f"donor {donor}: estate car, {dice.choice(('paid', 'bought'))} {self.prices[0]} eur, sat 3 months"
            f"{dice.choice(('', ', why ' + self._again()))}",
            f"parts injector: {tag}1-{tag}4 from {donor}",
            self._maybe(f"parts lead: L{n}1-L{n}4 from {_short(person.name)}"),
            f"symptom: shakes at idle{dice.choice(('', ', ' + self._again()))}",
            f"  {self._note()}",
            self._maybe(f"clue: sat, {self._again()}"),
            self._maybe(f"plan: {self._again()} next"),
            f"private: {self._note_private()}",
            "",
            f"2026-05-{4 + n:02} {dice.choice(('looked it over', self._again() + ' came'))}",
            f"cut-out: 1 60, 2 62, 3 4 ({bracket}), 4 61 @ 700 rpm, warm",
            f"  {self._note()}",
            f"  private: {self._again()}",
            self._maybe(f"compression: 1 12.1, 3 11.8 ({bracket}) bar @ {dice.choice(('warm', self._again()))}"),
            f"photo: {photo} {self._again()} beside the rail",
            f"private photo: {hidden} {self._again()}",
            self._maybe(f"trace cranking: {trace}"),
            self._maybe(f"film: https://example.org/{_short(person.name)} first start"),
            f"order {self._file(person.name)}: two injectors",
            f"spent: {self.prices[1]} {self._again()}",
            f"got {self._file(person.name)}: {self.prices[2]}",
            f"asked: {tag}1 {self.prices[3]}",
            f"swap coil 3 4: now same ({bracket})",
            f"  {self._note()}",
            self._maybe(f"torque head {_short(person.name)}: 1 35, 2 35, 3 36, 4 35 Nm"),
            self._maybe(f"look: {self._note()}"),
            self._maybe(f"road: {self._note()}"),
            self._maybe(f"clean injector: {tag}1 ({self._again()})"),
            f"flow: {tag}1 80, {tag}2 79, {tag}3 78, {tag}4 81 ml @ 30 s, 3 bar, test fluid",
            self._maybe(f"hours: diagnosis 2.5, {_short(person.name).lower()} 1"),
            self._maybe(f"wating for {self._again()}"),
            "",
            f"2026-05-{14 + n:02}",
            f"  {self._note()}",
            self._maybe(f"cause coil: old 3 ({self._again()})"),
            self._maybe(f"cause: mouse nest at {self._again()}"),
            "proved cut-out: 1 60, 2 62, 3 61, 4 61 @ 700 rpm, warm",
            self._maybe(f"handed over: {self._again()}"),
        ]  # fmt: skip
        text = "\n".join(lines) + "\n"
        self.shop.phrases += [
            p
            for line in lines
            if not ("private" in line or line.startswith("look:"))
            for p in PHRASES
            for _ in range(line.count(p))
        ]
        self.shop.files[f"{folder}{stem}.txt"] = text.encode()
        self.shop.files[f"{folder}{photo}"] = self._photo(owner)
        self.shop.files[f"{folder}{hidden}"] = self._photo(owner)
        head = f"time s,{_short(person.name)} current A\n"
        rows = "".join(f"{i / 1000:.3f},{100 + 20 * (i % 50 < 25)}\n" for i in range(2000))
        self.shop.files[f"{folder}{trace}"] = (head + rows).encode()

    def _note_private(self) -> str:
        return f"owes me since the summer, {self._again()}"

    def _file(self, text: str) -> str:
        return "".join(c if c.isalnum() or c in "-_'" else "_" for c in _short(text))

    def _photo(self, said: str) -> bytes:
        exif = Image.Exif()
        exif[0x010E] = exif[0x013B] = said
        file = io.BytesIO()
        shade = self.dice.randint(0, 255)
        Image.new("RGB", (60, 40), (shade, 90, self.dice.randint(0, 255))).save(
            file, "JPEG", exif=exif, comment=said.encode()
        )
        return file.getvalue()


def _long(name: str) -> str:
    for letter, two in (("ä", "ae"), ("ö", "oe"), ("ü", "ue"), ("ø", "oe"), ("æ", "ae"), ("ß", "ss")):
        name = name.replace(letter, two)
    return name


def _short(name: str) -> str:
    for letter, one in zip("äöüøéłŁñÇ", "aouoelLnC", strict=True):
        name = name.replace(letter, one)
    return name.replace("ß", "ss").replace("æ", "ae")
