"""A proposal that isn't stored yet: what the night would put before the contractor."""

from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date
from decimal import Decimal
from typing import Any

from scheduling.models import Change
from scheduling.services.groups import Group
from scheduling.services.outlook import Risk


@dataclass
class Proposal:
    """One change the night computed for one decision unit."""

    group: Group
    kind: str
    proposed: int | None
    effective_from: date
    effective_to: date | None
    reason: str
    litres: float
    risk_keep: Risk
    risk_change: Risk
    keep_words: str
    change_words: str
    deciding_zone: int | None
    write_down: Callable[[], dict[str, Any]]
    hints: list[str] = dataclass_field(default_factory=list)

    @property
    def inputs(self) -> dict[str, Any]:
        """Return what the decision was made from; written down only when asked, most stand already."""
        return self.write_down()

    @property
    def money(self) -> Decimal | None:
        """Return what the water costs or saves, if a price is known."""
        tariff = self.group.site.tariff
        if tariff is None:
            return None
        return (Decimal(str(self.litres)) / 1000 * tariff.price_per_m3).quantize(Decimal("0.01"))

    @property
    def currency(self) -> str:
        """Return the currency of ``money``."""
        tariff = self.group.site.tariff
        return tariff.currency if tariff else self.group.site.client.company.currency

    def as_row(self, *, run_id: int | None) -> Change:
        """Return the change to store."""
        return Change(
            program=self.group.lead,
            whole_controller=self.group.whole_controller,
            kind=self.kind,
            current=self.group.current,
            proposed=self.proposed,
            effective_from=self.effective_from,
            effective_to=self.effective_to,
            reason=self.reason[:500],
            effect_litres=round(self.litres, 1),
            effect_money=self.money,
            currency=self.currency,
            risk_keep=self.keep_words,
            risk_change=self.change_words,
            risk_keep_level=self.risk_keep.level,
            risk_change_level=self.risk_change.level,
            deciding_zone_id=self.deciding_zone,
            hints=self.hints,
            inputs=self.inputs,
            run_id=run_id,
        )
