"""What a job costs, and what to ask for it: exact decimals."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from logbook.formulas.money import amounts, cents
from logbook.formulas.refusals import Negative, NotPositive, OutsideRange


def _not_negative(**fields: Decimal) -> None:
    amounts(**fields)
    for field, value in fields.items():
        if value < 0:
            raise Negative(field, str(value), "0 or more")


class JobPrice(NamedTuple):
    labour: Decimal
    parts_asked: Decimal
    cost: Decimal
    price: Decimal
    profit_on_parts: Decimal


def job_price(
    hours: Decimal,
    rate_per_hour: Decimal,
    parts_cost: Decimal = Decimal(0),
    parts_markup_percent: Decimal = Decimal(0),
    other: Decimal = Decimal(0),
) -> JobPrice:
    """What a job costs and what to ask for it

    Formula: price = hours · rate + parts · (1 + mark-up/100) + other; cost = hours · rate + parts + other
    hours: hours as 7.25 or 7:15
    rate_per_hour: rate an hour, which must carry the shop
    parts_cost: what the parts cost
    parts_markup_percent: mark-up on parts in percent
    other: disposal, machine shop, freight
    Range: any; tax is not in it.
    Raises: an amount under 0; a binary float.
    Caution: A quote binds in many places, and so may a limit for going beyond it: local law. Say what is not in it.
    Source: exact decimal sums
    Example: hours=7:30 rate=$85 parts=$412.50 parts_markup=30 other=$25
    Also: quote, estimate, invoice, what to charge

    >>> job_price(Decimal("7.5"), Decimal(85), Decimal("412.50"), Decimal(30), Decimal(25)).price
    Decimal('1198.75')
    """
    _not_negative(hours=hours, rate_per_hour=rate_per_hour, parts_cost=parts_cost)
    _not_negative(parts_markup_percent=parts_markup_percent, other=other)
    labour = cents(hours * rate_per_hour)
    parts = cents(parts_cost * (1 + parts_markup_percent / 100))
    paid, rest = cents(parts_cost), cents(other)
    return JobPrice(labour, parts, labour + paid + rest, labour + parts + rest, parts - paid)


class Asked(NamedTuple):
    price: Decimal
    profit: Decimal


def price_for_margin(cost: Decimal, margin_percent: Decimal) -> Asked:
    """Price for a wanted margin

    Formula: price = cost/(1 - margin/100)
    cost: what it cost, own hours too
    margin_percent: margin of the price, in percent
    Range: 0 to under 100 %.
    Raises: cost not above 0; margin outside 0 to under 100; a binary float.
    Caution: Margin is of the price: 50 % margin is 100 % mark-up.
    Source: definition
    Example: cost=$1750 margin=30
    Also: profit, markup, what to charge

    >>> price_for_margin(Decimal("1750"), Decimal("30")).price
    Decimal('2500.00')
    """
    _not_negative(cost=cost, margin_percent=margin_percent)
    if cost == 0:
        raise NotPositive("cost", "0", "above 0")
    if margin_percent >= 100:
        raise OutsideRange("margin_percent", str(margin_percent), "under 100")
    price = cents(cost / (1 - margin_percent / 100))
    return Asked(price, price - cents(cost))


class ShopRate(NamedTuple):
    rate_per_hour: Decimal


def shop_rate(monthly_costs: Decimal, monthly_pay: Decimal, billed_hours: Decimal) -> ShopRate:
    """Rate an hour that carries the shop

    Formula: rate = (costs + pay)/billed hours
    monthly_costs: rent, insurance, power, tools and the rest of a month
    monthly_pay: what you want to take home of a month, with its taxes
    billed_hours: hours of a month that somebody pays for, often half of those worked
    Range: any.
    Raises: an amount under 0; no billed hours; a binary float.
    Source: definition
    Example: monthly_costs=$2400 monthly_pay=$5000 billed_hours=90
    Also: labor rate, hourly, what to charge

    >>> shop_rate(Decimal(2400), Decimal(5000), Decimal(90)).rate_per_hour
    Decimal('82.22')
    """
    _not_negative(monthly_costs=monthly_costs, monthly_pay=monthly_pay, billed_hours=billed_hours)
    if billed_hours == 0:
        raise NotPositive("billed_hours", "0", "above 0")
    return ShopRate(cents((monthly_costs + monthly_pay) / billed_hours))
