"""The page of all clients' water: the same figures as over REST, searched, sorted, narrowed, taken away."""

import csv
import io
import re
from datetime import date
from typing import Any

import altair as alt
import pytest
import time_machine
from django.test import Client as Browser
from openpyxl import load_workbook

from desk import figures
from desk.charts.of_budget import of_budget
from desk.client_water import season_of
from fleet.models import Client, Membership, User
from reports.models import UseAlert
from reports.selectors.by_client.rows import Months, lines_of
from reports.services.baselines import fit_baseline
from reports.services.recompute import recompute
from tests.cast import PASSWORD
from tests.desk.conftest import SignedIn
from tests.night.garden import ON, Garden, garden
from tests.reports.measured.metered_garden import BASELINE, Metered, metered

pytestmark = pytest.mark.django_db
PAGE = "/clients/water/?from=2026-06&to=2026-06"
HOSTILE = "=HYPERLINK(1)"


@pytest.fixture
def heron(db: None, settings: Any) -> Metered:
    settings.AS_OF = ON
    place = metered()
    first, last = BASELINE
    fit_baseline(meter=place.meter, by=place.garden.owner, first=first, last=last)
    UseAlert.objects.create(
        meter=place.meter, kind="idle", litres=900, first=date(2026, 6, 5), last=date(2026, 6, 6), found_on=ON
    )
    Client.objects.create(company=place.garden.company, name=HOSTILE)
    recompute(on=ON)
    return place


@pytest.fixture
def owner(heron: Metered, signed_in: SignedIn) -> Browser:
    return signed_in(heron.garden.owner)


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\u00a0", " ")


def body(answer: Any) -> bytes:
    return b"".join(answer.streaming_content)


def test_the_page_the_files_and_rest_tell_the_same_to_the_digit(owner: Browser, heron: Metered) -> None:
    asked = "?from=2026-06&to=2026-06"
    rows = {row["client"]: row for row in owner.get(f"/api/v1/water-by-client/{asked}").json()["results"]}
    told = rows[heron.garden.client.pk]
    units = heron.garden.company.units
    page = text(owner.get(PAGE))
    for litres in (
        told["estimated"]["saved_l"],
        told["estimated"]["applied_l"],
        told["metered"]["used_l"],
        told["metered"]["unexplained_l"],
        told["measured"]["saved_l"],
        told["measured"]["uncertainty_l"],
    ):
        assert litres is not None and figures.water(litres, units).replace("\u00a0", " ") in page
    for share in (
        told["estimated"]["of_budget"],
        told["metered"]["of_budget"],
        told["estimated"]["adequacy"],
    ):
        assert figures.share(share).replace("\u00a0", " ") in page
    assert "1 open alert" in page
    lines = list(
        csv.reader(io.StringIO(body(owner.get(f"/clients/water/list.csv{asked}")).decode("utf-8-sig")))
    )
    cells = dict(zip(lines[0], lines[1], strict=True))
    in_file = {head.split(" (")[0]: value for head, value in cells.items()}
    litres_of = 3.785411784 if units == "us" else 1000.0
    digits = 1 if units == "us" else 3
    assert float(in_file["Used, estimated"]) == round(told["estimated"]["applied_l"] / litres_of, digits)
    assert float(in_file["Used, metered"]) == round(told["metered"]["used_l"] / litres_of, digits)
    sheet = load_workbook(io.BytesIO(body(owner.get(f"/clients/water/list.xlsx{asked}")))).active
    assert [str(cell.value) for cell in sheet[2]][:1] == [lines[1][0]]
    assert sheet[2][4].value == float(in_file["Used, estimated"])
    total = owner.get(f"/api/v1/water-by-client/totals/{asked}").json()
    assert (total["clients"], total["clients_estimated"], total["clients_measured"]) == (2, 1, 1)
    assert total["estimated"] == told["estimated"] and total["measured"] == told["measured"]


def test_a_name_no_spreadsheet_runs(owner: Browser) -> None:
    lines = body(owner.get("/clients/water/list.csv?sort=client")).decode("utf-8-sig").splitlines()
    assert lines[1].startswith(f"'{HOSTILE}")
    book = load_workbook(io.BytesIO(body(owner.get("/clients/water/list.xlsx?sort=client"))))
    assert (book.active["A2"].value, book.active["A2"].data_type) == (HOSTILE, "s")


@pytest.mark.parametrize(
    ("query", "left"),
    [
        ("only=alert&from=2026-06", ["Heron"]),
        ("only=dry", []),
        ("words=hyper", [HOSTILE]),
        ("sort=client&way=down", ["Heron", HOSTILE]),
        ("sort=nothing&way=x&only=x&from=2026-13&to=0000-00&page=z", ["Heron", HOSTILE]),
    ],
)
def test_it_is_searched_narrowed_and_sorted(owner: Browser, query: str, left: list[str]) -> None:
    answer = owner.get(f"/clients/water/?{query}")
    found = re.findall(r'<th scope="row">\s*<a [^>]*>([^<]+)</a>', answer.content.decode())
    assert [name.split()[0] for name in found] == left
    assert bool(left) != ("Show all clients" in text(answer))


def test_a_company_without_clients_is_told_where_to_begin(db: None, signed_in: SignedIn) -> None:
    place: Garden = garden("Quillback")
    place.client.delete()
    assert "No client has been set up yet" in text(signed_in(place.owner).get(PAGE))


def test_staff_see_their_own_company_alone_and_readers_nothing(
    heron: Metered, signed_in: SignedIn, owner: Browser
) -> None:
    other = garden("Quillback", place=(39.3, -121.2, 400.0))
    browser = signed_in(other.owner)
    assert "Heron" not in text(browser.get(PAGE))
    assert len(browser.get("/api/v1/water-by-client/").json()["results"]) == 1
    hand = User.objects.create_user("hand@heron.test", PASSWORD)
    assert signed_in(hand).get("/api/v1/water-by-client/").json()["results"] == []
    Membership.objects.create(user=hand, company=heron.garden.company, role="technician")
    assert signed_in(hand).get(PAGE).status_code == 200


@pytest.mark.parametrize(
    "asked", ["from=2026-07&to=2026-06", "from=2020-01&to=2026-06", "to=2026-13", "from="]
)
def test_months_that_are_none_are_refused_over_rest(owner: Browser, asked: str) -> None:
    assert owner.get(f"/api/v1/water-by-client/?{asked}").status_code == 400


def test_the_running_month_is_that_of_the_companys_own_clock(
    heron: Metered, owner: Browser, settings: Any
) -> None:
    settings.AS_OF = None
    with time_machine.travel("2026-07-02T01:00Z", tick=False):  # at the garden the first of July isn't over
        assert owner.get("/api/v1/water-by-client/totals/").json()["from"] == "2026-06-01"


def test_the_chart_draws_the_worst_first_and_is_valid(heron: Metered) -> None:
    lines = lines_of(
        Client.objects.filter(pk=heron.garden.client.pk), Months(date(2026, 6, 1), date(2026, 6, 1))
    )
    drawn = of_budget(lines, units="us", span="June 2026")
    assert drawn is not None and of_budget([], units="us", span="June 2026") is None
    alt.LayerChart.from_dict(drawn)
    shares = {row["kind"]: row["share"] for row in drawn["datasets"]["table-1"]}
    water = lines[0].water
    assert shares == {
        "estimated": round(100 * (water.of_budget or 0), 1),
        "metered": round(100 * (water.metered_of_budget or 0), 1),
    }


@pytest.mark.parametrize(
    ("on", "southern", "first", "last"),
    [
        (date(2026, 7, 1), False, date(2026, 4, 1), date(2026, 7, 1)),
        (date(2026, 12, 1), False, date(2026, 4, 1), date(2026, 9, 1)),
        (date(2026, 2, 1), False, date(2025, 4, 1), date(2025, 9, 1)),
        (date(2026, 2, 1), True, date(2025, 10, 1), date(2026, 2, 1)),
        (date(2026, 7, 1), True, date(2025, 10, 1), date(2026, 3, 1)),
    ],
)
def test_a_season_is_the_newest_warm_half_year(on: date, southern: bool, first: date, last: date) -> None:
    assert season_of(on, southern=southern) == Months(first, last)
