"""What was seen on the rounds: visits, findings, probed soil, trims, zones apart; what clients wrote."""

from datetime import date

from fleet.models import ClientNote, Finding, SoilObservation, Visit, Zone, ZoneEpisode, ZoneTrim
from scheduling.demo.rows import Rows
from scheduling.demo.tables import Row, number, table


def add_visits(rows: Rows) -> None:
    Visit.objects.bulk_create(_visit(row, rows) for row in table("visits"))


def add_findings(rows: Rows) -> None:
    Finding.objects.bulk_create(
        Finding(
            zone=_zone(row, rows),
            found_on=rows.calendar.ago(int(row["days_ago"])),
            part=row["part"],
            note=row["note"],
            lost_l_day=number(row["lost_l_day"]),
            status=row["status"],
        )
        for row in table("findings")
    )


def add_soil_observations(rows: Rows) -> None:
    SoilObservation.objects.bulk_create(
        SoilObservation(
            zone=_zone(row, rows),
            date=rows.calendar.ago(int(row["days_ago"])),
            depletion_share=float(row["depletion_share"]),
            how=row["how"],
            by=rows.people["tech"],
        )
        for row in table("soil_observations")
    )


def add_trims(rows: Rows) -> None:
    ZoneTrim.objects.bulk_create(
        ZoneTrim(
            zone=_zone(row, rows),
            factor=float(row["factor"]),
            reason=row["reason"],
            effective_from=rows.calendar.ago(int(row["days_ago"])),
            by=rows.people["office"],
        )
        for row in table("zone_trims")
    )


def add_episodes(rows: Rows) -> None:
    ZoneEpisode.objects.bulk_create(
        ZoneEpisode(
            zone=_zone(row, rows),
            kind=row["kind"],
            effective_from=rows.calendar.ago(int(row["from_days_ago"])),
            effective_to=rows.calendar.ahead(int(row["to_days_ahead"])) if row["to_days_ahead"] else None,
            permit=row["permit"],
        )
        for row in table("zone_episodes")
    )


def add_client_notes(rows: Rows) -> None:
    ClientNote.objects.bulk_create(
        ClientNote(
            site=rows.sites[row["site"]],
            words=row["words"],
            dry_from=_ahead(row["dry_from_days_ahead"], rows),
            dry_to=_ahead(row["dry_to_days_ahead"], rows),
            by=rows.people[row["by"]],
            written_at=rows.calendar.moment(rows.calendar.ago(int(row["days_ago"])), row["at"]),
        )
        for row in table("client_notes")
    )


def _ahead(days: str, rows: Rows) -> date | None:
    return rows.calendar.ahead(int(days)) if days else None


def _visit(row: Row, rows: Rows) -> Visit:
    """Return a visit; one with a past date and no time was planned and never made."""
    day = rows.calendar.ahead(int(row["day"]))
    return Visit(
        site=rows.sites[row["site"]],
        kind=row["kind"],
        date=day,
        done_at=rows.calendar.moment(day, row["done_at"]) if row["done_at"] else None,
        note=row["note"],
    )


def _zone(row: Row, rows: Rows) -> Zone:
    return rows.zones[row["controller"], int(row["number"])]
