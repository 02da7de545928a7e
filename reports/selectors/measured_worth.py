"""What measured savings were worth, at the tiers they really avoided."""

from collections import defaultdict
from decimal import Decimal

from reports.selectors.measured import MeasuredSavings, MeterSavings
from reports.selectors.worth import worth_of


def measured_worth(found: MeasuredSavings) -> tuple[Decimal | None, str, list[str]]:
    """Return the worth of a detected saving, its currency and how it was counted, site by site.

    None where no saving is detected, the price of some of the water isn't known, or sites pay in different
    currencies.
    """
    by_site: dict[int, list[MeterSavings]] = defaultdict(list)
    for one in found.meters:
        by_site[one.meter.site_id].append(one)
    currency = found.meters[0].meter.site.client.company.currency
    if not found.detected:
        return None, currency, []
    total, currencies, words = Decimal(0), set(), []
    for own in by_site.values():
        points = [bill.point for one in own for bill in one.bills]
        worth = worth_of(
            own[0].meter.site,
            first=min(point.first for point in points),
            last=max(point.last for point in points),
            saved_l=sum(one.saved_l for one in own),
            used_l=sum(one.used_l for one in own),
        )
        if worth.money is None:
            return None, currency, [worth.words]
        total += worth.money
        currencies.add(worth.currency)
        words.append(worth.words)
    if len(currencies) > 1:
        return None, currency, []
    return total, currencies.pop(), list(dict.fromkeys(words))
