"""Which summaries a person reads before they go, and that lists in the database tell what pages tell."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client as Browser

from fleet.models import Client, Letter, Meter, Site
from reports.models import Summary, SummaryLetter, SummaryStop, UseAlert
from reports.selectors.summary.listed import drafts_made_by, listed, with_standing
from reports.selectors.summary.states import DRAFT, LOOK, WORDS, standings
from tests.desk.conftest import SignedIn
from tests.desk.summaries.conftest import MONTH, readable
from tests.desk.summaries.test_pages import PAGE, shown_now, text
from tests.night.garden import Garden
from tests.summaries import summary_figures

pytestmark = pytest.mark.django_db
MADE = datetime(2026, 7, 6, 11, tzinfo=UTC)


def drafted(heron: Garden, name: str, **more: Any) -> Summary:
    """Return the draft of a further client whom somebody reads."""
    client = Client.objects.create(company=heron.company, name=name)
    readable(client, f"{name.replace(' ', '')}@heron.test".lower())
    place = {"latitude": 39.2, "longitude": -121.1, "elevation_m": 310, "timezone": heron.site.timezone}
    Site.objects.create(client=client, name=f"{name} lot", **place)
    figures = summary_figures(name, **more)
    return Summary.objects.create(client=client, month=MONTH, figures=figures, made_at=MADE)


def alert(draft: Summary, **more: Any) -> UseAlert:
    meter, _ = Meter.objects.get_or_create(site=draft.client.sites.get(), name="Street", unit="kgal")
    told = {"kind": "idle", "first": date(2026, 5, 29), "last": date(2026, 6, 2), "litres": 900}
    return UseAlert.objects.create(meter=meter, found_on=MADE.date(), **told | more)


@pytest.fixture
def owner(heron: Garden, signed_in: SignedIn) -> Browser:
    return signed_in(heron.owner)


def test_approving_all_leaves_thirsty_plants_and_unexplained_use_to_a_person(
    owner: Browser, heron: Garden, office: Any
) -> None:
    usual, dry, leak = (
        drafted(heron, n, adequacy=a) for n, a in (("Abel", 0.9), ("Bree", 0.89), ("Cato", 1))
    )
    alert(leak)
    page = text(owner.get(f"{PAGE}?view=care"))
    assert "Plants got 89 % of their need." in page and "nothing explains yet at Cato lot" in page
    assert "Abel" not in page
    assert "Approve and send 1" in page
    owner.post(f"{PAGE}send/", {"as_of": shown_now(owner)})
    assert [to for to, _ in office.taken] == ["abel@heron.test"]
    assert "Approve and send" in text(owner.get(f"/summaries/{dry.pk}/"))
    owner.post(f"/summaries/{dry.pk}/approve/")
    assert [to for to, _ in office.taken] == ["abel@heron.test", "bree@heron.test"]
    leak.refresh_from_db()
    assert (usual.pk, leak.state) == (usual.pk, "draft")


def test_a_draft_made_anew_at_that_very_moment_is_not_approved_unseen(
    owner: Browser, heron: Garden, office: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft = drafted(heron, "Abel")

    def and_made_anew(*asked: Any) -> list[int]:
        found = list(drafts_made_by(*asked))
        Summary.objects.filter(pk=draft.pk).update(made_at=MADE + timedelta(seconds=1))
        return found

    seen = shown_now(owner)
    monkeypatch.setattr("desk.pages.summaries.drafts_made_by", and_made_anew)
    owner.post(f"{PAGE}send/", {"as_of": seen})
    draft.refresh_from_db()
    assert (draft.state, office.taken) == ("draft", [])


def test_whoever_gets_none_any_more_gets_none_from_a_page_opened_before(
    owner: Browser, heron: Garden, office: Any
) -> None:
    draft = drafted(heron, "Abel")
    SummaryStop.objects.create(client=draft.client, reason="They asked for none.")
    owner.post(f"/summaries/{draft.pk}/approve/")
    draft.refresh_from_db()
    assert (draft.state, office.taken) == ("draft", [])


@pytest.mark.parametrize(
    "more",
    [
        {"dismissed_at": MADE},
        {"first": date(2026, 7, 1), "last": date(2026, 7, 2)},
        {"first": date(2026, 5, 1), "last": date(2026, 5, 31)},
    ],
    ids=["answered", "after", "before"],
)
def test_an_alert_counts_while_it_is_open_and_touches_the_month(heron: Garden, more: dict[str, Any]) -> None:
    draft = drafted(heron, "Abel")
    alert(draft, **more)
    assert standings([draft.client], MONTH)[0].state == DRAFT
    alert(draft, first=date(2026, 6, 30), last=date(2026, 7, 2))
    assert standings([draft.client], MONTH)[0].state == LOOK


def test_lists_in_the_database_tell_every_state_as_pages_do(heron: Garden) -> None:
    drafted(heron, "Draft")
    drafted(heron, "Dry", adequacy=0.5)
    drafted(heron, "Empty", empty="no site is written down yet")
    Summary.objects.filter(pk=drafted(heron, "Held").pk).update(state="held")
    SummaryStop.objects.create(client=drafted(heron, "Stopped").client, reason="Asked.")
    Client.objects.filter(pk=drafted(heron, "Closed").client_id).update(access_from=None)
    Client.objects.filter(pk=drafted(heron, "Later").client_id).update(access_from=date(2027, 1, 1))
    drafted(heron, "Nobody").client.accesses.all().delete()
    states = [*Letter.State.values, None]
    for n, state in enumerate(states):
        row = drafted(heron, f"Approved {n}")
        Summary.objects.filter(pk=row.pk).update(state="approved", approved_at=MADE)
        for m, one in enumerate((state, "sent") if state else ()):
            moments = {"sent": {"sent_at": MADE}, "sending": {"claimed_at": MADE}}.get(one, {})
            letter = Letter.objects.create(
                company=heron.company, client=row.client, kind="summary", key=f"{n}-{m}", to="x@heron.test",
                subject="June", text="June", state=one, **moments,
            )  # fmt: skip
            SummaryLetter.objects.create(summary=row, letter=letter)
    everyone = Client.objects.filter(company=heron.company)
    shown = {row.client.pk: row.state for row in standings(list(everyone), MONTH)}
    assert dict(with_standing(everyone, MONTH).values_list("pk", "standing")) == shown
    assert set(WORDS) - set(shown.values()) <= {"not_sent"}
    told = listed(everyone, MONTH)
    assert told.total == len(shown)
    assert told.newest_draft == MADE


def test_many_are_paged_and_found_by_name(
    owner: Browser, heron: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("desk.pages.summaries.A_PAGE", 2)
    for name in ("Abel", "Bree", "Cato"):
        drafted(heron, name)
    first, second = (text(owner.get(f"{PAGE}?view=open&page={n}")) for n in (1, 2))
    assert "Abel" in first and "Bree" in first and "Cato" not in first and "1 to 2 of 3" in first
    assert "Cato" in second and "Approve and send 3" in second
    assert "Cato" in text(owner.get(f"{PAGE}?words=CAT"))
    assert "No client is called “dora” among these" in text(owner.get(f"{PAGE}?view=open&words=dora"))
