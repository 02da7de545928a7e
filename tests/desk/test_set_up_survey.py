"""One zone's survey: what comes by itself, how it is known and can be told otherwise, sums and their use."""

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from desk.set_up.sums import worked
from desk.set_up.whole import Whole
from fleet.models import SetUpDraft
from tests.cast import Cast
from tests.desk.set_up_texts import BOX, say, start, zone_texts

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(owner: Browser, cast: Cast) -> SetUpDraft:
    made = start(owner)
    say(owner, made, "controllers", BOX)
    say(owner, made, "zones", zone_texts(3))
    return made


def survey(browser: Browser, draft: SetUpDraft, row: str = "2", **posted: Any) -> Any:
    draft.refresh_from_db()
    usual = {"seen": str(draft.data["zones-1"]["version"]), "page": "", "nth": "0", "do": "keep"}
    kept = next(r for r in draft.data["zones-1"]["texts"]["rows"] if r["k"] == row)
    texts = {key: value for key, value in kept.items() if isinstance(value, str)}
    return browser.post(
        reverse("desk:set-up-zone", args=[draft.pk]) + f"?box=1&row={row}", texts | usual | posted
    )


def zone(draft: SetUpDraft, cast: Cast, place: int = 1) -> dict[str, Any]:
    draft.refresh_from_db()
    return Whole(draft, cast.owner).boxes[0].zones[place].fields()


def test_help_and_sources_stand_on_the_page(owner: Browser, draft: SetUpDraft):
    page = owner.get(reverse("desk:set-up-zone", args=[draft.pk]) + "?box=1&row=2").content.decode()
    for words in (
        "Press a ribbon",
        "Irrigation Association (2005)",
        "Lay a straight board",
        "Common practice, no source",
    ):
        assert words in page
    assert owner.get(reverse("desk:set-up-zone", args=[draft.pk]) + "?box=9&row=zz").status_code == 200


def test_what_came_by_itself_can_be_told_otherwise(owner: Browser, draft: SetUpDraft, cast: Cast):
    assert zone(draft, cast)["basis"]["soil"] == "assumed"
    survey(owner, draft, **{"known-soil": "measured", "known-root": "table"})
    fields = zone(draft, cast)
    assert (fields["soil"], fields["basis"]["soil"]) == ("loam", "measured")
    assert fields["basis"]["root_depth_mm"] == "table"
    survey(owner, draft, soil="clay", **{"known-soil": "assumed"})
    assert (zone(draft, cast)["soil"], zone(draft, cast)["basis"]["soil"]) == ("clay", "assumed")
    say(owner, draft, "zones", zone_texts(3) | {"1-soil": "clay", "1-name": "Bank"})
    assert zone(draft, cast)["basis"]["soil"] == "assumed", "the grid keeps what was told of a value"
    say(owner, draft, "zones", zone_texts(3) | {"1-soil": "sand"})
    assert zone(draft, cast)["basis"]["soil"] == "measured", "another value is another fact"


def test_a_typed_rate_is_measured_only_where_cans_caught_it(owner: Browser, draft: SetUpDraft, cast: Cast):
    survey(owner, draft, rate="0.8")
    assert zone(draft, cast)["basis"]["precipitation_rate_mm_h"] == "table"
    survey(owner, draft, rate="0.8", **{"known-rate": "measured"})
    fields = zone(draft, cast)
    assert (fields["precipitation_rate_mm_h"], fields["basis"]["precipitation_rate_mm_h"]) == (
        20.32,
        "measured",
    )


def test_flow_over_area_comes_before_the_tables_rate(owner: Browser, draft: SetUpDraft, cast: Cast):
    survey(owner, draft, flow="15", area="900")
    assert zone(draft, cast)["precipitation_rate_mm_h"] == pytest.approx(
        40.75, abs=0.02
    )  # 96.25 x 15 / 900 in/h


def test_a_sum_is_shown_and_used(owner: Browser, draft: SetUpDraft, cast: Cast):
    typed = {"sum-rect-a": "40", "sum-rect-b": "22.5"}
    draft.refresh_from_db()
    answer = owner.post(
        reverse("desk:set-up-zone", args=[draft.pk]) + "?box=1&row=2",
        typed | {"seen": str(draft.version), "page": "p", "nth": "1", "number": "2"},
        headers={"HX-Request": "true"},
    )
    assert "900" in answer.content.decode()
    survey(owner, draft, do="use:rect", **typed)
    assert zone(draft, cast)["area_m2"] == pytest.approx(83.6, abs=0.1)


@pytest.mark.parametrize(
    ("texts", "units", "key", "shown"),
    [
        # 96.25 x 15 gpm / 1000 ft2 = 1.44 in/h; the constant is the trade's own
        ({"flow-flow": "15", "flow-area": "1000"}, "us", "flow", "1.44"),
        # 60 x 30 L/min / 100 m2 = 18 mm/h
        ({"flow-flow": "30", "flow-area": "100"}, "metric", "flow", "18"),
        # 96.25 x 3.7 gpm / (15 ft x 15 ft) = 1.58 in/h
        ({"heads-flow": "3.7", "heads-head": "15", "heads-row": "15"}, "us", "heads", "1.58"),
        # 231.1 x 0.6 gph / (12 in x 18 in) = 0.64 in/h; 231 in3 a gallon
        ({"dripline-flow": "0.6", "dripline-emitter": "12", "dripline-row": "18"}, "us", "dripline", "0.64"),
        # 20 emitters of 2 L/h on 10 m2: 40 L/h on 10 m2 = 4 mm/h
        ({"emitters-count": "20", "emitters-flow": "2", "emitters-area": "10"}, "metric", "emitters", "4"),
        ({"tri-a": "13", "tri-b": "14", "tri-c": "15"}, "metric", "tri", "84"),
        ({"board-rise": "6", "board-run": "2"}, "metric", "board", "3"),
    ],
)
def test_sums_against_figures_worked_by_hand(texts, units, key, shown):
    (one,) = [one for one in worked(texts, units) if one.sum.key == key]
    assert (one.text, one.error) == (shown, "")


@pytest.mark.parametrize(
    "texts",
    [
        {"tri-a": "1", "tri-b": "2", "tri-c": "9"},
        {"rect-a": "-1", "rect-b": "2"},
        {"rect-a": "NaN", "rect-b": "2"},
        {"circle-r": "1e9"},
        {"emitters-count": "2.5", "emitters-flow": "1", "emitters-area": "1"},
    ],
)
def test_sums_that_cannot_be_say_so(texts):
    assert [one.error for one in worked(texts, "us") if one.error]


@pytest.mark.parametrize(
    "word", ["x" * 10_000, "NaN", "\0", "🌱", "‮abc", "<b>"], ids=lambda word: ascii(word[:6])
)
def test_no_fault_whatever_is_posted(owner: Browser, draft: SetUpDraft, word: str):
    names = [
        "number",
        "name",
        "kind",
        "plant",
        "soil",
        "area",
        "rate",
        "known-soil",
        "sum-rect-a",
        "sum-tri-b",
        "how",
    ]
    for do in ("keep", "next", "back", "grid", "use:rect", word):
        answer = survey(owner, draft, **dict.fromkeys(names, word), do=do, page=word, nth=word)
        assert answer.status_code in (200, 302, 409, 422)
        assert owner.get(reverse("desk:set-up-zones", args=[draft.pk])).status_code == 200
