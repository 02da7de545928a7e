"""Every list and form of the back office: opened, searched, narrowed, and what it asks of the database."""

from typing import Any

import pytest
from django.contrib import admin
from django.db import connection
from django.db.models import ForeignKey
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from fleet.admin.by_company import ByCompany
from fleet.models import Company, User
from fleet.tenancy import TenantModel
from tests.back_office.conftest import address
from tests.back_office.makers import ALL, INSIDE, THE_ONE
from tests.cast import Cast

pytestmark = pytest.mark.django_db
OURS = ("fleet", "scheduling", "reports", "weather")
REGISTERED = list(admin.site._registry)
OWN = [m for m in REGISTERED if m._meta.app_label in OURS]
BAD = ("larkspur", "x\0y", "a" * 10_000, "🌱", "שלום", "'; drop", "%", '"')


def asked(browser: Browser, url: str, data: Any = None) -> list[str]:
    with CaptureQueriesContext(connection) as queries:
        response = browser.get(url, data)
    assert response.status_code == 200, url
    return [query["sql"] for query in queries.captured_queries]


def grown(few: list[str], many: list[str]) -> str:
    """Return what many rows asked, if that is more than few did."""
    return "" if len(few) == len(many) else "\n".join([f"{len(few)} became {len(many)}:", *many])


def test_every_model_the_back_office_lists_has_a_row_to_try():
    assert set(REGISTERED) <= set(ALL), "Add a maker to tests/back_office/makers.py"


@pytest.mark.sqlite
@pytest.mark.parametrize("model", REGISTERED, ids=lambda m: m._meta.label)
def test_list_and_form_ask_as_much_for_fifteen_rows_as_for_three(keeper, cast: Cast, model):
    first, _, _ = (ALL[model](cast, n) for n in range(1, 4))
    pages = {"list": address(model, "changelist"), "form": address(model, "change", first.pk)}
    for url in pages.values():
        keeper.get(url)  # what is remembered from page to page is asked here
    few = {name: asked(keeper, url) for name, url in pages.items()}
    for n in range(4, 16):
        ALL[model](cast, n)
    for name, url in pages.items():
        assert not grown(few[name], asked(keeper, url)), name
    assert len(keeper.get(pages["list"]).context["cl"].result_list) >= 15
    assert max(len(queries) for queries in few.values()) <= 20


ROWS_INSIDE = [(m, i.model) for m in OWN for i in admin.site._registry[m].inlines]


def test_every_row_inside_a_page_has_a_maker():
    assert set(ROWS_INSIDE) == set(INSIDE), "Add it to INSIDE in tests/back_office/makers.py"


@pytest.mark.sqlite
@pytest.mark.parametrize(("page", "rows"), ROWS_INSIDE, ids=lambda m: m.__name__)
def test_a_form_asks_as_much_for_fifteen_rows_inside_it_as_for_three(keeper, cast: Cast, page, rows):
    url = address(page, "change", getattr(cast, THE_ONE[page]).pk)
    for n in range(101, 104):
        INSIDE[page, rows](cast, n)
    keeper.get(url)
    few = asked(keeper, url)
    for n in range(104, 116):
        INSIDE[page, rows](cast, n)
    assert not grown(few, asked(keeper, url))


@pytest.mark.once
@pytest.mark.parametrize("model", OWN, ids=lambda m: m.__name__)
def test_every_list_is_searched_whatever_is_typed(keeper, cast: Cast, model):
    ALL[model](cast, 1)
    assert admin.site._registry[model].search_fields
    for typed in BAD:
        assert keeper.get(address(model, "changelist"), {"q": typed}).status_code in (200, 302), typed[:20]


@pytest.mark.sqlite
@pytest.mark.parametrize("model", OWN, ids=lambda m: m.__name__)
def test_every_choice_of_every_filter_and_every_order_opens(keeper, cast: Cast, model):
    ALL[model](cast, 1)
    page = keeper.get(address(model, "changelist"))
    changelist = page.context["cl"]
    assert changelist.filter_specs or model in (User,), "give it list_filter"
    for spec in changelist.filter_specs:
        for choice in spec.choices(changelist):
            url = address(model, "changelist") + choice["query_string"]
            assert keeper.get(url).status_code == 200, url
    for column in range(1, len(changelist.list_display)):
        assert keeper.get(address(model, "changelist"), {"o": column}).status_code == 200


BY_COMPANY = [m for m in OWN if issubclass(m, TenantModel) and m is not Company]


@pytest.mark.once
@pytest.mark.parametrize("model", BY_COMPANY + [User], ids=lambda m: m.__name__)
def test_every_list_is_narrowed_to_a_company(keeper, cast: Cast, stranger, model):
    row = ALL[model](cast, 1) if model is not User else cast.owner
    url = address(model, "changelist")
    assert any(issubclass(f, ByCompany) for f in _filters(model))
    own = keeper.get(url, {"company": cast.company.pk}).context["cl"].queryset
    others = keeper.get(url, {"company": stranger.company_ids()[0]}).context["cl"].queryset
    assert own.filter(pk=row.pk).exists()
    assert not others.filter(pk=row.pk).exists()
    for bad in ("x", "-1", "9" * 40, "\0"):
        assert keeper.get(url, {"company": bad}).status_code in (200, 302)


def _filters(model: Any) -> list[type]:
    return [f for f in admin.site._registry[model].get_list_filter(None) if isinstance(f, type)]


@pytest.mark.sqlite
@pytest.mark.parametrize("model", OWN, ids=lambda m: m.__name__)
def test_no_form_lists_every_row_of_another_table_to_pick_from(model, rf, keeper_person):
    request = rf.get("/")
    request.user = keeper_person
    page = admin.site._registry[model]
    picked = {*page.autocomplete_fields, *page.raw_id_fields, *page.readonly_fields}
    keys = {f.name for f in model._meta.fields if isinstance(f, ForeignKey) and f.editable}
    if page.has_change_permission(request):
        assert keys <= picked
    for inside in page.inlines:
        keys = {f.name for f in inside.model._meta.fields if isinstance(f, ForeignKey)}
        keys = {name for name in keys if inside.model._meta.get_field(name).related_model is not model}
        if inside.has_change_permission(inside(model, admin.site), request):
            assert keys <= {*inside.autocomplete_fields, *inside.raw_id_fields}


@pytest.mark.sqlite
@pytest.mark.parametrize("model", OWN, ids=lambda m: m.__name__)
def test_no_list_counts_all_rows_beside_those_it_shows(model):
    assert admin.site._registry[model].show_full_result_count is False


@pytest.mark.sqlite
@pytest.mark.parametrize("model", OWN, ids=lambda m: m.__name__)
def test_a_list_walked_by_dates_has_an_index_to_walk(model):
    name = admin.site._registry[model].date_hierarchy
    assert name is None or name in _leading(model), f"{model.__name__}.{name} begins no index"


def _leading(model: Any) -> set[str]:
    begins = {index.fields[0] for index in model._meta.indexes if index.fields}
    begins |= {c.fields[0] for c in model._meta.constraints if getattr(c, "fields", ())}
    return begins | {f.name for f in model._meta.fields if f.db_index or f.unique}
