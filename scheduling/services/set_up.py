"""Creating a site from its draft: everything in one transaction, once."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from common.errors import MovedOn, Refused
from fleet.models import Client, Controller, SetUpDraft, Site, User, WaterSource
from fleet.selectors.people import require_set_up
from fleet.services.client_opening import open_access
from fleet.services.clients import set_up_client
from fleet.services.controllers import set_up_controller
from fleet.services.holding import held
from fleet.services.sites import set_up_site
from fleet.services.water_sources import set_up_water_source
from fleet.services.zones_in_bulk import RowsRefused, set_up_zones
from scheduling.models import Setting
from scheduling.selectors.plan import Overrides
from scheduling.selectors.plan.of_controller import Planned, plan_of
from scheduling.services.adopt import adopt_plan
from scheduling.services.programs import enter_program
from scheduling.services.settings import enter_setting

Fields = Mapping[str, Any]


@dataclass(frozen=True)
class SaidRun:
    """How long a program runs a zone, by the zone's number. [min]"""

    zone: int
    minutes: float
    cycle: float | None = None
    soak: float | None = None


@dataclass(frozen=True)
class SaidProgram:
    """A program as it was found."""

    letter: str
    days: str
    starts: Sequence[str]
    percent: int
    runs: Sequence[SaidRun] = ()


@dataclass(frozen=True)
class SaidBox:
    """A controller, its zones, the programs found on it on a night, and whether a plan takes their place."""

    key: str
    fields: Fields
    zones: Sequence[Fields] = ()
    night: date | None = None
    programs: Sequence[SaidProgram] = ()
    plan_from: date | None = None  # the night from which on it runs by a plan, None as found


@dataclass(frozen=True)
class SaidSite:
    """All a site is created from; ``client`` and ``source`` are a row's id or the fields of a new one."""

    client: int | Fields
    place: Fields
    source: int | Fields | None = None
    boxes: Sequence[SaidBox] = ()
    access_from: date | None = None
    readers: Sequence[str] = field(default=())
    peak_et_mm_day: float | None = None  # of the hottest month, where no usual year is known


class CantCreate(Refused):
    """Something stands in the way; ``step`` tells on which page it is mended."""

    def __init__(self, message: str, *, step: str, box: str = "") -> None:
        super().__init__(message, field=step)
        self.step, self.box = step, box


def create_site(*, draft: SetUpDraft, by: User, said: SaidSite, seen: int) -> Site:
    """Write everything a draft says, or nothing; asked twice, the second time finds the site of the first.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    CantCreate
        If something can't be as it was said.
    MovedOn
        If somebody went on with the draft since ``seen``, or discarded it.
    """
    require_set_up(by, draft.company_id)
    with transaction.atomic():
        now = held(draft)
        if now.finished_at is not None:
            return _of(now)
        if now.version != seen:
            raise MovedOn("Somebody has gone on with this draft; look at it again.", current_status="edited")
        site = _write(now, by, said)
        now.site, now.finished_at = site, timezone.now()
        now.save(update_fields=["site", "finished_at", "updated_at"])
    return site


def would_create(*, draft: SetUpDraft, by: User, said: SaidSite) -> CantCreate | None:
    """Return what would stand in the way of creating a site, having written nothing.

    Client, place, water, controllers and access are tried; what zones and programs may be was read already.
    """
    said = replace(said, boxes=[replace(box, zones=(), programs=(), plan_from=None) for box in said.boxes])
    with transaction.atomic():
        try:
            _write(draft, by, said)
        except CantCreate as trouble:
            return trouble
        finally:
            transaction.set_rollback(True)
    return None


def would_plan(*, draft: SetUpDraft, by: User, said: SaidSite, night: date) -> dict[str, Planned]:
    """Return the plan of each controller as it would be, by its key, having written nothing.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    CantCreate
        If the site couldn't be created.
    """
    require_set_up(by, draft.company_id)
    said = replace(said, boxes=[replace(box, plan_from=None) for box in said.boxes])
    with transaction.atomic():
        try:
            site = _write(draft, by, said)
            boxes = {box.name: box for box in site.controllers.all()}
            return {
                box.key: plan_of(
                    boxes[box.fields["name"]], night=night, overrides=_overrides(said), ways=False
                )
                for box in said.boxes
            }
        finally:
            transaction.set_rollback(True)


def _overrides(said: SaidSite) -> Overrides:
    return Overrides(peak_et_mm_day=said.peak_et_mm_day)


def _of(draft: SetUpDraft) -> Site:
    if draft.site is None:
        raise MovedOn("This site was created, and has been removed since.", current_status="removed")
    return draft.site


def _write(draft: SetUpDraft, by: User, said: SaidSite) -> Site:
    client = _client(draft, by, said.client)
    with _at("place"):
        site = set_up_site(client=client, by=by, **said.place)
    source = _source(site, by, said.source)
    for box in said.boxes:
        _box(site, by, source, box, overrides=_overrides(said))
    if said.access_from is not None or said.readers:
        with _at("access"):
            day = said.access_from or client.access_from
            open_access(client=client, by=by, access_from=day, readers=said.readers)
    return site


def _client(draft: SetUpDraft, by: User, said: int | Fields) -> Client:
    if not isinstance(said, int):
        with _at("client"):
            return set_up_client(by=by, company=draft.company, **said)
    client = Client.objects.of_company(draft.company_id).filter(pk=said).first()
    if client is None:
        raise CantCreate("The client you picked is no longer there.", step="client")
    return client


def _source(site: Site, by: User, said: int | Fields | None) -> WaterSource | None:
    if said is None:
        return None
    if not isinstance(said, int):
        with _at("water"):
            return set_up_water_source(site=site, by=by, **said)
    source = WaterSource.objects.filter(site__client=site.client_id, pk=said).first()
    if source is None:
        raise CantCreate("The water source you picked isn't this client's.", step="water")
    return source


def _box(site: Site, by: User, source: WaterSource | None, said: SaidBox, *, overrides: Overrides) -> None:
    with _at("controllers", said.key):
        controller = set_up_controller(site=site, by=by, source=source, **said.fields)
    zones = {}
    with _at("zones", said.key):
        try:
            zones = {
                zone.number: zone for zone in set_up_zones(controller=controller, by=by, rows=said.zones)
            }
        except RowsRefused as refused:
            raise CantCreate(refused.message, step="zones", box=said.key) from None
    with _at("found", said.key):
        for program in said.programs:
            _program(controller, by, program, night=said.night, zones=zones)
    if said.plan_from is not None:
        with _at("plan", said.key):
            planned = plan_of(controller, night=said.plan_from, overrides=overrides, ways=False)
            adopt_plan(
                controller=controller,
                by=by,
                effective=said.plan_from,
                digest=planned.digest,
                overrides=overrides,
            )


def _program(controller: Controller, by: User, said: SaidProgram, *, night: date | None, zones: Any) -> None:
    if night is None:
        raise Refused("Say when these settings were found.")
    runs = [
        {"zone": zones[run.zone], "minutes": run.minutes, "cycle": run.cycle, "soak": run.soak}
        for run in said.runs
    ]
    program = enter_program(
        controller=controller,
        by=by,
        letter=said.letter,
        effective=night,
        runs=runs,
        days=said.days,
        starts=list(said.starts),
    )
    enter_setting(program=program, by=by, percent=said.percent, effective_from=night, how=Setting.How.FOUND)


@contextmanager
def _at(step: str, box: str = "") -> Iterator[None]:
    """Say on which page what a service refuses is mended."""
    try:
        yield
    except CantCreate:
        raise
    except Refused as refused:
        raise CantCreate(refused.message, step=step, box=box) from None
    except ValidationError as error:
        words = "; ".join(
            f"{name}: {message}" for name, messages in error.message_dict.items() for message in messages
        )
        raise CantCreate(words, step=step, box=box) from None
    except MovedOn as moved:
        raise CantCreate(moved.message, step=step, box=box) from None
