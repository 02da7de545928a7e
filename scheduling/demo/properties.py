"""Clients, their sites, the water they have and the controllers on their walls."""

from typing import Any

from common.units import L_PER_GALLON
from fleet.models import Client, Controller, Site, WateringRule, WaterSource
from scheduling.demo.dates import TIMEZONE
from scheduling.demo.rows import Rows
from scheduling.demo.tables import by_key, table
from weather.services.cells import cell_for


def add_clients(rows: Rows) -> None:
    listed = table("clients")
    made = Client.objects.bulk_create(
        Client(
            company=rows.company,
            name=row["name"],
            email=row["email"],
            phone=row["phone"],
            access_from=rows.calendar.ago(int(row["open_days_ago"])) if row["open_days_ago"] else None,
            note=row["note"],
        )
        for row in listed
    )
    rows.clients = {row["key"]: client for row, client in zip(listed, made, strict=True)}


def add_sites(rows: Rows) -> None:
    """Add the sites, each in its weather cell; soil water is counted from the day they were taken over."""
    listed = table("sites")
    made = Site.objects.bulk_create(
        Site(
            client=rows.clients[row["client"]],
            name=row["name"],
            address=row["address"],
            latitude=float(row["latitude"]),
            longitude=float(row["longitude"]),
            elevation_m=float(row["elevation_m"]),
            timezone=TIMEZONE,
            cell=cell_for(
                latitude=float(row["latitude"]),
                longitude=float(row["longitude"]),
                elevation_m=float(row["elevation_m"]),
                timezone=TIMEZONE,
            ),
            season=row["season"],
            **_rule(rows.rules.get(row["rule"])),
            tariff=rows.tariffs.get(row["tariff"]),
            balance_from=rows.calendar.ago(int(row["taken_over_days_ago"])),
        )
        for row in listed
    )
    rows.sites = {row["key"]: site for row, site in zip(listed, made, strict=True)}


def _rule(rule: WateringRule | None) -> dict[str, Any]:
    """Put a site under a rule of its own, or in the town the rule belongs to."""
    if rule is None or rule.town is None:
        return {"watering_rule": rule}
    return {"town": rule.town, "kind": rule.kind}


def add_sources(rows: Rows) -> None:
    listed = table("water_sources")
    made = WaterSource.objects.bulk_create(
        WaterSource(
            site=rows.sites[row["site"]],
            name=row["name"],
            kind=row["kind"],
            flow_l_min=round(float(row["flow_gpm"]) * L_PER_GALLON, 1),
        )
        for row in listed
    )
    rows.sources = {row["site"]: source for row, source in zip(listed, made, strict=True)}


def add_controllers(rows: Rows) -> None:
    kinds = by_key("controller_kinds", "kind")
    listed = table("controllers")
    made = Controller.objects.bulk_create(
        _controller(row, kinds[row["kind"]], site=rows.sites[row["site"]], source=rows.sources[row["site"]])
        for row in listed
    )
    rows.controllers = {row["key"]: controller for row, controller in zip(listed, made, strict=True)}


def _controller(row: dict[str, str], kind: dict[str, str], *, site: Site, source: WaterSource) -> Controller:
    fitted = {part.strip() for part in row["fitted"].split("+")}
    return Controller(
        site=site,
        source=source,
        name=row["name"],
        serial_number=row["serial_number"],
        zone_capacity=int(kind["zone_capacity"]),
        program_capacity=int(kind["program_capacity"]),
        starts_per_program=int(kind["starts_per_program"]),
        percent_step=int(kind["percent_step"]),
        percent_max=int(kind["percent_max"]),
        percent_scope=kind["percent_scope"],
        minute_step=float(kind["minute_step"]),
        cycle_and_soak=kind["cycle_and_soak"] == "yes",
        master_valve="master valve" in fitted,
        flow_sensor="flow sensor" in fitted,
        rain_sensor="rain sensor" in fitted,
        freeze_sensor="freeze sensor" in fitted,
        delivery=row["delivery"],
    )
