"""Opening a client's access: the pack goes to the contractor alone, to the readers once the day has come."""

from datetime import date, timedelta

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from common import clock
from desk import dates
from desk.company import today_of
from desk.pack import pack_words
from fleet.models import Client, ClientAccess, Letter, Membership, Site, User
from fleet.services.letters.write import Enclosed, write
from fleet.services.people import token_of
from fleet.services.reader_links import reader_link
from reports.paper.press import pdf

LATE_DAYS = 7  # what wasn't written by then isn't news any more

PACK = """Good day,

{client}'s access opens on {day}. Until then nothing goes to them.

Enclosed is the pack they will get: zones, programs, this week, how to read it, whom to call, cautions. It is
made anew on the day, from what is set then. These people will get it, each with a link of their own to choose
a password:

{readers}

They can look, and not change anything. To change the day, or to close access: {address}
"""
NOBODY = "  nobody yet: add whoever may read on the client's page"

OPENING = """Good day{name},

{company} looks after the watering at {client}. From today you can read along: what is set, what happens in
the coming nights, and what was saved. You can look, and not change anything.

{way_in}

Enclosed is what is set today, and how to read it.

Questions, or something broken? {call}
"""
CHOOSE = """Choose a password here; the link works once, and for {days} days:

{link}"""
SIGN_IN = """Sign in with the password you have:

{link}"""


def write_due() -> list[Letter]:
    """Write every letter whose day has come; run it as often as you like."""
    return [*write_packs(), *write_openings()]


def write_packs() -> list[Letter]:
    """Write the contractor's own copy of the pack for every day access was set to."""
    since = clock.today("UTC") - timedelta(days=1)
    clients = Client.objects.filter(access_from__gte=since).select_related("company").order_by("pk")
    told = set(
        Letter.objects.filter(kind=Letter.Kind.OPENING_PACK, client__in=clients).values_list("key", flat=True)
    )
    return [
        letter for client in clients if _pack_key(client) not in told for letter in _to_contractor(client)
    ]


def write_openings() -> list[Letter]:
    """Write to every reader of a client whose access has opened; nobody is written to twice for one day."""
    since = clock.today("UTC") - timedelta(days=LATE_DAYS)
    until = clock.today("UTC") + timedelta(days=1)  # east of Greenwich the day may have come already
    clients = Client.objects.filter(access_from__gte=since, access_from__lte=until).select_related("company")
    return [letter for client in clients if _has_come(client) for letter in _to_readers(client)]


def _has_come(client: Client) -> bool:
    return client.access_from is not None and client.access_from <= _today(client)


def _pack_key(client: Client) -> str:
    return f"pack:{client.pk}:{client.access_from}"


def _to_contractor(client: Client) -> list[Letter]:
    """Write to the company's own address, else to its first owner; to nobody if it has neither."""
    owner = (
        Membership.objects.filter(company=client.company, role=Membership.Role.OWNER).order_by("pk").first()
    )
    to = client.company.email or (owner.user.email if owner is not None else "")
    if not to or client.access_from is None:
        return []
    day = dates.long_day(client.access_from, client.company.units)
    readers = [access.user.email for access in client.accesses.select_related("user").order_by("user__email")]
    letter = write(
        company=client.company,
        client=client,
        kind=Letter.Kind.OPENING_PACK,
        key=_pack_key(client),
        to=to,
        subject=f"{client}: access opens on {day}",
        text=PACK.format(
            client=client,
            day=day,
            readers="\n".join(f"  {email}" for email in readers) or NOBODY,
            address=settings.SITE_URL + reverse("desk:client", args=[client.pk]),
        ),
        files=[_pack(client, _today(client))],
    )
    return [letter]


def opening_key(access: ClientAccess) -> str:
    """Return the name of the letter to one reader for the day access is set to."""
    return f"opening:{access.client_id}:{access.user_id}:{access.client.access_from}"


def _to_readers(client: Client) -> list[Letter]:
    accesses = list(client.accesses.select_related("user", "client__company").order_by("pk"))
    told = set(
        Letter.objects.filter(
            company=client.company, key__in=[opening_key(access) for access in accesses]
        ).values_list("key", flat=True)
    )
    new = [access for access in accesses if opening_key(access) not in told]
    if not new:
        return []
    file = _pack(client, _today(client))
    return [_to_reader(access, file) for access in new]


def _to_reader(access: ClientAccess, file: Enclosed) -> Letter:
    client, user = access.client, access.user
    company = client.company
    return write(
        company=company,
        client=client,
        kind=Letter.Kind.OPENING,
        key=opening_key(access),
        to=user.email,
        subject=f"The watering at {client}: you can read along",
        text=OPENING.format(
            name=f" {user.name}" if user.name else "",
            company=company,
            client=client,
            way_in=_way_in(client, user),
            call=", ".join(word for word in (company.contact_name, company.phone, company.email) if word)
            or f"Ask {company}.",
        ),
        files=[file],
    )


def _way_in(client: Client, user: User) -> str:
    owner = Membership.objects.filter(company=client.company, role=Membership.Role.OWNER).first()
    with transaction.atomic():
        link = reader_link(client=client, by=owner.user, user=user) if owner is not None else None
    if link is None:
        return SIGN_IN.format(link=settings.SITE_URL + reverse("desk:sign-in"))
    days = max(1, (link.expires_at - link.created_at).days)
    return CHOOSE.format(link=settings.SITE_URL + reverse("desk:welcome", args=[token_of(link)]), days=days)


def _pack(client: Client, on: date) -> Enclosed:
    return Enclosed(f"watering-{on.isoformat()}.pdf", pdf("pack", pack_words(client, on=on), on=on))


def _today(client: Client) -> date:
    """Return the business day where the client's first site lies."""
    site = Site.objects.filter(client=client).order_by("pk").values_list("timezone", flat=True).first()
    return clock.today(site) if site else today_of(client.company_id)
