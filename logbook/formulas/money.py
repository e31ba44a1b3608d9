"""Money in exact decimals: rounded half away from zero, once for each printed line, and never a binary fraction."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import NamedTuple

from logbook.formulas.refusals import BinaryFloat, Negative, NotANumber, NotFinite, NotPositive, OutsideRange, WrongKind

CENT = Decimal("0.01")
MOST = Decimal(10) ** 15


def amounts(**fields: Decimal) -> None:
    """Each field is an exact, finite amount."""
    for field, value in fields.items():
        if isinstance(value, float):
            raise BinaryFloat(field, value, "an exact decimal")
        if not isinstance(value, Decimal):
            raise NotANumber(field, value, "an amount")
        if not value.is_finite():
            raise NotFinite(field, str(value), "a finite amount")
        if abs(value) >= MOST:
            raise OutsideRange(field, str(value), "under a thousand million millions")


def cents(amount: Decimal) -> Decimal:
    """``amount`` to the cent, half away from zero.

    >>> cents(Decimal("1.005")), cents(Decimal("-0.125"))
    (Decimal('1.01'), Decimal('-0.13'))
    """
    return amount.quantize(CENT, ROUND_HALF_UP)


class Rounded(NamedTuple):
    half_up: Decimal
    half_even: Decimal


def money_round(amount: Decimal) -> Rounded:
    """Money to the cent

    Formula: half up: halves away from zero; half even: halves to the even cent
    amount: amount, written as text
    Range: under a thousand million millions.
    Raises: a binary float; text that is no amount.
    Caution: Printed lines are rounded half up, once each, and the rounded lines are added.
    Source: General Decimal Arithmetic, IEEE 854 modes of rounding
    Example: amount=$80.125

    >>> money_round(Decimal("0.125"))
    Rounded(half_up=Decimal('0.13'), half_even=Decimal('0.12'))
    """
    amounts(amount=amount)
    return Rounded(cents(amount), amount.quantize(CENT, ROUND_HALF_EVEN))


def labour_cost(hours: Decimal, rate_per_hour: Decimal) -> Decimal:
    """Cost of labour

    Formula: hours · rate, rounded once
    hours: hours as 7.25 or 7:15
    rate_per_hour: rate an hour
    Range: any.
    Raises: hours or rate under 0; a binary float.
    Source: exact decimal product
    Example: hours=7:30 rate=$85

    >>> labour_cost(Decimal("0.35"), Decimal("92.50"))
    Decimal('32.38')
    """
    amounts(hours=hours, rate_per_hour=rate_per_hour)
    for field, value in (("hours", hours), ("rate_per_hour", rate_per_hour)):
        if value < 0:
            raise Negative(field, str(value), "0 or more")
    return cents(hours * rate_per_hour)


class Shares(NamedTuple):
    allocated: tuple[Decimal, ...]
    sum: Decimal


def donor_cost_allocation(donor_cost: Decimal, expected_values: Sequence[Decimal]) -> Shares:
    """A donor's cost spread over its parts

    Formula: cost · value/Σ value, in cents by largest remainder, ties to the first
    donor_cost: what the donor cost
    expected_values: what each part is expected to bring
    Range: any number of parts; a part worth nothing gets nothing.
    Raises: values that add up to 0; a value or the cost under 0; a binary float.
    Caution: Core charges and disposal are lines of their own.
    Source: largest remainder; the shares add up to the cost exactly
    Example: donor_cost=$1000 'expected_values=300, 200, 100'

    >>> donor_cost_allocation(Decimal("100"), [Decimal(1), Decimal(1), Decimal(1)]).allocated
    (Decimal('33.34'), Decimal('33.33'), Decimal('33.33'))
    """
    amounts(donor_cost=donor_cost)
    if isinstance(expected_values, (str, bytes)) or not isinstance(expected_values, Sequence):
        raise WrongKind("expected_values", expected_values, "a list of amounts")
    for value in expected_values:
        amounts(expected_values=value)
        if value < 0:
            raise Negative("expected_values", str(value), "0 or more")
    if donor_cost < 0:
        raise Negative("donor_cost", str(donor_cost), "0 or more")
    total = sum((Fraction(v) for v in expected_values), Fraction(0))
    if total == 0:
        raise NotPositive("expected_values", "0", "a sum above 0")
    pennies = int(cents(donor_cost) * 100)
    exact = [Fraction(v) * pennies / total for v in expected_values]
    shares = [int(share) for share in exact]
    left = pennies - sum(shares)
    by_remainder = sorted(range(len(exact)), key=lambda i: (shares[i] - exact[i], i))
    for index in by_remainder[:left]:
        shares[index] += 1
    allocated = tuple((Decimal(share) / 100).quantize(CENT) for share in shares)
    return Shares(allocated, sum(allocated, Decimal("0.00")))


class Margin(NamedTuple):
    profit: Decimal
    margin_of_price: float
    markup_on_cost: float


def margin(price: Decimal, cost: Decimal) -> Margin:
    """Margin and mark-up

    Formula: margin = (price - cost)/price; mark-up = (price - cost)/cost
    price: what was got for it
    cost: what it cost
    Range: a loss is negative.
    Raises: price or cost not above 0; a binary float.
    Caution: Two numbers of one deal: 50 % mark-up is 33 % margin. Both are printed by name.
    Source: definition
    Example: price=$2400 cost=$1750
    Also: profit, markup

    >>> round(margin(Decimal("2400.00"), Decimal("1750.00")).margin_of_price, 5)
    0.27083
    """
    amounts(price=price, cost=cost)
    for field, value in (("price", price), ("cost", cost)):
        if value <= 0:
            raise NotPositive(field, str(value), "above 0")
    profit = price - cost
    return Margin(cents(profit), float(Fraction(profit) / Fraction(price)), float(Fraction(profit) / Fraction(cost)))
