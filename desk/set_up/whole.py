"""A draft as a whole: every part read, what is missing or assumed, and what is created from it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from common import clock
from desk.blanks import Blank
from desk.company import timezone_of
from desk.set_up.amounts import PEAK_NEED, SOURCE_FLOW
from desk.set_up.boxes import MOST_BOXES, box_blanks, box_fields, fresh_box
from desk.set_up.form import Form
from desk.set_up.found_settings import Found as FoundSettings
from desk.set_up.found_settings import read_found
from desk.set_up.parts import access_blanks, client_blanks, place_blanks, water_blanks
from desk.set_up.place import Found, found_place
from desk.set_up.zone_rows import ZoneRow, read_rows
from fleet.models import Client, SetUpDraft, Tariff, User, WateringRule, WaterSource, ZonePreset
from fleet.numerics.bucket import flow_from_bucket
from fleet.services.drafts import part_of
from scheduling.services.set_up import SaidBox, SaidSite


@dataclass(frozen=True)
class Snag:
    """Something to mend before the site can be created."""

    step: str
    words: str
    box: str = ""
    field: str = ""


@dataclass
class Box:
    """One controller of the draft with what is on it."""

    key: str
    form: Form
    fields: dict[str, Any]
    zones: list[ZoneRow]
    found: FoundSettings

    @property
    def name(self) -> str:
        """Return what it is called."""
        return self.fields["name"] or "a controller without a name"

    @property
    def incomplete(self) -> list[ZoneRow]:
        """Return the zones nothing can be decided for yet."""
        return [row for row in self.zones if row.lacks]

    @property
    def lacks(self) -> list[str]:
        """Return what they lack, each thing once."""
        return list(dict.fromkeys(what for row in self.zones for what in row.lacks))


@dataclass
class Whole:
    """A draft, read for one person."""

    draft: SetUpDraft
    user: User
    theirs: Mapping[str, Any] = field(default_factory=dict)

    @property
    def units(self) -> str:
        """Return the units its texts were typed in."""
        return self.draft.units

    def texts(self, part: str) -> Any:
        """Return what was typed for a part."""
        return part_of(self.draft, part)

    @cached_property
    def client(self) -> Form:
        return Form(client_blanks(self.draft, self.user), self.texts("client"))

    @cached_property
    def client_row(self) -> Client | None:
        """Return the client that was picked."""
        picked = self.client.values.get("existing")
        rows = Client.objects.visible_to(self.user).of_company(self.draft.company_id)
        return rows.filter(pk=int(picked)).first() if picked else None

    @cached_property
    def place(self) -> Form:
        texts = {"season": "open"} | self.texts("place")
        return Form(place_blanks(self.draft, self.user), texts)

    @cached_property
    def found_place(self) -> Found:
        return found_place(self.place, company_id=self.draft.company_id)

    @cached_property
    def watering_rule(self) -> WateringRule | None:
        """Return the rule that was picked."""
        found: WateringRule | None = self._picked(WateringRule, self.place.values["watering_rule"])
        return found

    @cached_property
    def water(self) -> Form:
        texts = {"kind": "potable"} | self.texts("water")
        row = self.client_row
        return Form(water_blanks(self.draft, self.user, client=row.pk if row else None), texts)

    @property
    def flow_l_min(self) -> float | None:
        """Return the flow of a new source: as typed, else from the bucket. [L/min]"""
        typed: float | None = self.water.values.get("flow")
        return typed if typed is not None else self.bucket_l_min

    @cached_property
    def source_l_min(self) -> float | None:
        """Return the flow of the water source, new or picked, None where it isn't known. [L/min]"""
        picked = self.water.values["existing"]
        if not picked:
            return self.flow_l_min
        rows = WaterSource.objects.visible_to(self.user).of_company(self.draft.company_id)
        return rows.filter(pk=int(picked)).values_list("flow_l_min", flat=True).first()

    @property
    def bucket_l_min(self) -> float | None:
        """Return the flow by the bucket. [L/min]"""
        litres, seconds = self.water.values.get("bucket"), self.water.values.get("seconds")
        if not litres or not seconds:
            return None
        flow = float(flow_from_bucket(litres, seconds))
        return flow if SOURCE_FLOW.low <= flow <= SOURCE_FLOW.high else None

    @cached_property
    def today(self) -> date:
        return clock.today(self.found_place.timezone or timezone_of(self.draft.company_id))

    @cached_property
    def kinds(self) -> dict[str, ZonePreset]:
        rows = ZonePreset.objects.visible_to(self.user).of_company(self.draft.company_id)
        return {str(row.pk): row for row in rows}

    @property
    def box_texts(self) -> list[dict[str, Any]]:
        """Return the texts of the controllers; there is one at least."""
        rows = self.texts("controllers").get("rows", [])[:MOST_BOXES]
        return rows or [fresh_box("1", 1)]

    @cached_property
    def boxes(self) -> list[Box]:
        return [self._box(texts) for texts in self.box_texts]

    def _box(self, texts: dict[str, Any]) -> Box:
        form = Form(box_blanks(), texts)
        fields, key = box_fields(form.values), str(texts["k"])
        rows = self.texts(f"zones-{key}").get("rows", [])
        zones = read_rows(rows, units=self.units, kinds=self.kinds, capacity=fields["zone_capacity"])
        found = read_found(self.texts(f"found-{key}"), box=fields, rows=zones, today=self.today)
        return Box(key, form, fields, zones, found)

    @cached_property
    def access(self) -> Form:
        return Form(access_blanks(), self.texts("access"))

    @cached_property
    def peak(self) -> Form:
        blank = Blank(
            "peak",
            "Reference ET of a day in the hottest month",
            read=lambda text: PEAK_NEED.read(text, self.units),
            unit=f"{PEAK_NEED.unit(self.units)} a day",
            effect="From a table of your region, say 0.25 in or 6.5 mm; taken until its own year is known.",
        )
        return Form([blank], self.texts("plan"))

    def plan_from(self, box: Box) -> date:
        """Return the night a plan begins: tonight, or the one after, where settings were found today."""
        begins = self.today
        if box.found.programs and box.found.night is not None and box.found.night >= begins:
            begins = box.found.night + timedelta(days=1)  # what was found stays for a night, as the baseline
        return begins

    @property
    def title(self) -> str:
        """Return what the draft is called in the list."""
        client = str(self.client_row or self.client.texts.get("name", "")).strip()
        site = str(self.place.texts.get("name", "")).strip()
        return " · ".join(part[:78] for part in (client, site) if part)

    @property
    def said(self) -> SaidSite:
        """Return what is created; only of use where there are no snags."""
        row = self.client_row
        new = {name: self.client.values[name] for name in ("name", "email", "phone", "note")}
        place = self.place.values
        return SaidSite(
            client=row.pk if row else new,
            place={
                "name": place["name"],
                "address": place["address"],
                "season": place["season"] or "open",
                "watering_rule": self.watering_rule,
                "tariff": self._picked(Tariff, place["tariff"]),
                **self.found_place.fields(),
            },
            source=self._source,
            boxes=[
                SaidBox(
                    box.key,
                    box.fields,
                    zones=[row.fields() for row in box.zones],
                    night=box.found.night,
                    programs=box.found.programs,
                    plan_from=self.plan_from(box) if self.texts("plan").get(f"use-{box.key}") else None,
                )
                for box in self.boxes
            ],
            access_from=self.access.values["access_from"],
            readers=self.access.values["readers"] or [],
            peak_et_mm_day=self.peak.values["peak"],
        )

    def _picked(self, model: Any, key: str) -> Any:
        rows = model.objects.visible_to(self.user).of_company(self.draft.company_id)
        return rows.filter(pk=int(key)).first() if key else None

    @property
    def _source(self) -> int | dict[str, Any] | None:
        said = self.water.values
        if said["existing"]:
            return int(said["existing"])
        if not said["name"]:
            return None
        return {
            "name": said["name"],
            "kind": said["kind"] or WaterSource.Kind.POTABLE,
            "flow_l_min": self.flow_l_min,
            "static_pressure_kpa": said["pressure"],
        }
