"""Programs, percents, skips, observations and trims over REST."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Controller
from scheduling.models import Program, Setting, Skip
from tests.api.test_fleet_writing import fields, post, write
from tests.cast import TODAY, Cast, a_cast, a_program, a_zone

pytestmark = pytest.mark.django_db
TOMORROW, YESTERDAY = TODAY + timedelta(days=1), TODAY - timedelta(days=1)


def body(cast: Cast, **more: Any) -> dict[str, Any]:
    return {
        "controller": cast.controller.pk,
        "letter": "B",
        "days": "mon fri",
        "starts": ["03:30", "22:00"],
        "effective": str(TODAY),
        "runs": [{"zone": cast.zone.pk, "minutes": 24, "cycle": 8, "soak": 20}],
        **more,
    }


def edit(api: Any, who: Any, program: Any, **said: Any) -> Any:
    return write(api, who, "patch", f"/api/v1/programs/{getattr(program, 'pk', program)}/", said)


def test_a_program_is_entered_with_its_runs(api, cast: Cast):
    second = a_zone(cast.controller, 2)
    runs = [{"zone": second.pk, "minutes": 5}, {"zone": cast.zone.pk, "minutes": 24, "cycle": 8, "soak": 20}]
    answer = post(api, cast.office, "programs", body(cast, runs=runs))
    assert answer.status_code == 201, answer.content
    made = answer.json()
    assert (made["letter"], made["ended"], made["replaced_on"]) == ("B", None, None)
    assert made["runs"] == [
        {"zone": second.pk, "minutes": 5.0, "cycle": None, "soak": None, "order": 1},
        {"zone": cast.zone.pk, "minutes": 24.0, "cycle": 8.0, "soak": 20.0, "order": 2},
    ]
    assert api.get(answer["Location"]).json() == made
    assert post(api, cast.technician, "programs", body(cast, letter="C")).status_code == 403


def test_the_zones_of_many_runs_are_read_in_one_question(api, cast: Cast):
    zones = [cast.zone, *(a_zone(cast.controller, number) for number in range(2, 13))]
    asked = []
    for letter, few in (("B", zones[:2]), ("C", zones)):
        runs = [{"zone": zone.pk, "minutes": 5} for zone in few]
        with CaptureQueriesContext(connection) as seen:
            answer = post(api, cast.office, "programs", body(cast, letter=letter, runs=runs))
        assert [run["zone"] for run in answer.json()["runs"]] == [zone.pk for zone in few]
        reads = [q["sql"] for q in seen.captured_queries if 'FROM "fleet_zone"' in q["sql"]]
        asked.append(len([sql for sql in reads if '"fleet_client"' in sql]))
    assert asked == [1, 1]


def test_of_many_runs_each_wrong_zone_is_told_by_its_place(api, cast: Cast):
    theirs = a_cast("Second", "second.test").zone
    wrong = (theirs.pk, 10**9, "7", True, None, -1)
    runs = [{"zone": cast.zone.pk, "minutes": 4}, *({"zone": zone, "minutes": 4} for zone in wrong)]
    answer = post(api, cast.office, "programs", body(cast, runs=runs))
    assert fields(answer) == {f"runs.{place}.zone" for place in range(1, 7)}


def test_an_edit_is_a_new_version_from_a_night_on(api, cast: Cast):
    Setting.objects.create(program=cast.program, percent=80, effective_from=date(2026, 5, 1))
    Setting.objects.create(program=cast.program, percent=95, effective_from=TODAY + timedelta(days=9))
    Skip.objects.create(program=cast.program, effective_from=TODAY, effective_to=TODAY + timedelta(days=4))
    before = Program.objects.values().get(pk=cast.program.pk)
    answer = edit(api, cast.office, cast.program, effective=str(TOMORROW), starts=["05:00"])
    assert answer.status_code == 200, answer.content
    made = answer.json()
    assert made["id"] != cast.program.pk
    assert answer["Content-Location"].endswith(f"/programs/{made['id']}/")
    assert (made["effective"], made["starts"], made["days"]) == (str(TOMORROW), ["05:00"], "daily")
    assert made["runs"] == [{"zone": cast.zone.pk, "minutes": 12.0, "cycle": None, "soak": None, "order": 1}]
    assert Program.objects.values().get(pk=cast.program.pk) == before
    assert api.get(f"/api/v1/programs/{cast.program.pk}/").json()["replaced_on"] == str(TOMORROW)
    kept = Setting.objects.filter(program=made["id"]).values_list("percent", "effective_from")
    assert list(kept) == [(80, TOMORROW), (95, TODAY + timedelta(days=9))]
    assert list(Skip.objects.filter(program=made["id"]).values_list("effective_from", "effective_to")) == [
        (TOMORROW, TODAY + timedelta(days=4))
    ]


def test_a_version_that_was_replaced_is_not_edited_any_more(api, cast: Cast):
    a_program(cast.controller, "A", effective=YESTERDAY)
    answer = edit(api, cast.office, cast.program, starts=["05:00"])
    assert (answer.status_code, answer.json()["current_status"]) == (409, "replaced")


def test_nights_that_ran_stay_as_they_were(api, cast: Cast):
    for night in ("2026-04-01", "2026-03-31"):
        assert fields(edit(api, cast.office, cast.program, effective=night, starts=[])) == {"effective"}
    assert fields(edit(api, cast.office, cast.program, effective="2027-12-31", days="odd")) == {"effective"}
    late = edit(api, cast.office, cast.program, effective=str(YESTERDAY), days="odd")
    assert (late.status_code, late.json()["effective"]) == (200, str(YESTERDAY))


def test_a_version_still_to_run_is_written_anew(api, cast: Cast):
    made = post(api, cast.office, "programs", body(cast, effective=str(TOMORROW))).json()
    answer = edit(api, cast.office, made["id"], starts=["01:00"], runs=[])
    assert (answer.json()["id"], answer.json()["starts"], answer.json()["runs"]) == (
        made["id"],
        ["01:00"],
        [],
    )
    assert Program.objects.filter(letter="B").count() == 1


def test_a_program_is_ended_and_taken_up_again(api, cast: Cast):
    answer = edit(api, cast.office, cast.program, ended="2026-09-01")
    assert (answer.json()["id"], answer.json()["ended"]) == (cast.program.pk, "2026-09-01")
    assert edit(api, cast.office, cast.program, ended=None).json()["ended"] is None
    assert fields(edit(api, cast.office, cast.program, ended="2026-03-01")) == {"ended"}


def test_only_a_program_that_never_ran_is_removed(api, cast: Cast):
    ran = write(api, cast.office, "delete", f"/api/v1/programs/{cast.program.pk}/")
    assert (ran.status_code, ran.json()["current_status"]) == (409, "in use")
    made = post(api, cast.office, "programs", body(cast, effective=str(TOMORROW)))
    assert write(api, cast.office, "delete", made["Location"]).status_code == 204


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"letter": "A"}, "letter"),
        ({"letter": "ABC"}, "letter"),
        ({"days": "someday"}, "days"),
        ({"starts": ["24:00"]}, "starts"),
        ({"starts": ["3:30"]}, "starts"),
        ({"starts": "03:30"}, "starts"),
        ({"starts": ["01:00", "02:00", "03:00", "04:00", "05:00"]}, "starts"),
        ({"effective": "2030-01-01"}, "effective"),
        ({"effective": None}, "effective"),
        ({"ended": "2026-01-01"}, "ended"),
        ({"runs": [{"zone": 10**9, "minutes": 4}]}, "runs"),
        ({"runs": [{"minutes": 4}]}, "runs"),
        ({"runs": [7]}, "runs"),
        ({"runs": {}}, "runs"),
        ({"replaced_on": "2026-07-07"}, "replaced_on"),
    ],
)
def test_what_a_program_cannot_be_is_told_at_its_field(api, cast: Cast, wrong, field):
    told = fields(post(api, cast.office, "programs", body(cast, **wrong)))
    assert {name.split(".")[0] for name in told} == {field}
    assert Program.objects.count() == 1


@pytest.mark.parametrize(
    "wrong", [{"minutes": -1}, {"minutes": 1441}, {"minutes": "9"}, {"cycle": 0}, {"soak": -1}, {"order": 0}]
)
def test_what_a_run_cannot_be_is_told(api, cast: Cast, wrong):
    runs = [{"zone": cast.zone.pk, "minutes": 4, **wrong}]
    assert fields(post(api, cast.office, "programs", body(cast, runs=runs)))
    assert Program.objects.count() == 1


def test_a_zone_runs_once_and_at_its_own_controller(api, cast: Cast):
    twice = [{"zone": cast.zone.pk, "minutes": 4}] * 2
    assert fields(post(api, cast.office, "programs", body(cast, runs=twice))) == {"zone"}
    other = a_zone(Controller.objects.create(site=cast.site, name="Shed"))
    elsewhere = [{"zone": other.pk, "minutes": 4}]
    assert fields(post(api, cast.office, "programs", body(cast, runs=elsewhere))) == {"runs.zone"}
    assert Program.objects.count() == 1


def test_a_controller_holds_so_many_programs(api, cast: Cast):
    for letter in "BC":
        assert post(api, cast.office, "programs", body(cast, letter=letter)).status_code == 201
    assert fields(post(api, cast.office, "programs", body(cast, letter="D"))) == {"letter"}


def percent(cast: Cast, **more: Any) -> dict[str, Any]:
    return {"program": cast.program.pk, "percent": 90, "effective_from": str(TODAY), **more}


def test_a_technician_says_what_was_found_and_no_more(api, cast: Cast):
    answer = post(api, cast.technician, "settings", percent(cast, percent=93))
    assert (answer.status_code, answer.json()["how"], answer.json()["percent"]) == (201, "found", 93)
    entered = percent(cast, how="entered", effective_from=str(TOMORROW))
    assert post(api, cast.technician, "settings", entered).status_code == 403
    assert post(api, cast.client_person, "settings", percent(cast)).status_code == 403
    assert write(api, cast.technician, "patch", answer["Location"], {"percent": 94}).json()["percent"] == 94


def test_what_was_found_is_not_written_over(api, cast: Cast):
    post(api, cast.technician, "settings", percent(cast, percent=110))
    assert post(api, cast.office, "settings", percent(cast, how="entered")).status_code == 201
    rows = Setting.objects.values_list("percent", "effective_from", "how")
    assert list(rows) == [(110, YESTERDAY, "found"), (90, TODAY, "entered")]
    assert fields(post(api, cast.office, "settings", percent(cast, how="entered"))) == {"effective_from"}
    assert fields(post(api, cast.technician, "settings", percent(cast))) == {"effective_from"}


def test_a_percent_entered_as_decided_stays(api, cast: Cast):
    decided = Setting.objects.create(
        program=cast.program, percent=85, effective_from=TODAY, how="change", change=cast.change
    )
    answer = write(api, cast.office, "patch", f"/api/v1/settings/{decided.pk}/", {"percent": 95})
    assert answer.status_code == 409


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"percent": 205}, "percent"),
        ({"percent": 501}, "percent"),
        ({"percent": -5}, "percent"),
        ({"percent": 83, "how": "entered"}, "percent"),
        ({"percent": 90.5}, "percent"),
        ({"percent": True}, "percent"),
        ({"how": "change"}, "how"),
        ({"effective_from": "2026-03-31"}, "effective_from"),
        ({"effective_from": "2026-07-07"}, "effective_from"),
        ({"effective_from": "2026-09-01", "how": "entered"}, "effective_from"),
        ({"program": 10**9}, "program"),
        ({"change": 1}, "change"),
    ],
)
def test_what_a_percent_cannot_be_is_told_at_its_field(api, cast: Cast, wrong, field):
    assert fields(post(api, cast.office, "settings", percent(cast, **wrong))) == {field}
    assert not Setting.objects.exists()


def nights(cast: Cast, **more: Any) -> dict[str, Any]:
    first, last = str(TODAY), str(TOMORROW)
    return {
        "program": cast.program.pk,
        "effective_from": first,
        "effective_to": last,
        "reason": "Fair.",
        **more,
    }


def test_a_skip_is_set_moved_and_taken_back(api, cast: Cast):
    answer = post(api, cast.office, "skips", nights(cast))
    assert (answer.status_code, answer.json()["change"]) == (201, None)
    moved = write(api, cast.office, "patch", answer["Location"], {"effective_to": "2026-07-09"})
    assert moved.json()["effective_to"] == "2026-07-09"
    assert fields(write(api, cast.office, "patch", answer["Location"], {"effective_to": "2026-07-05"})) == {
        "effective_to"
    }
    assert write(api, cast.office, "delete", answer["Location"]).status_code == 204
    assert post(api, cast.technician, "skips", nights(cast)).status_code == 403


def test_a_skip_that_began_or_was_decided_is_not_removed(api, cast: Cast):
    began = post(api, cast.office, "skips", nights(cast, effective_from=str(YESTERDAY)))["Location"]
    assert write(api, cast.office, "delete", began).status_code == 409
    decided = Skip.objects.create(
        program=cast.program, effective_from=TODAY, effective_to=TODAY, reason="Rain.", change=cast.change
    )
    for method in ("delete", "patch"):
        answer = write(api, cast.office, method, f"/api/v1/skips/{decided.pk}/", {"reason": "No."})
        assert answer.status_code == 409, method
    assert Skip.objects.count() == 2


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"effective_to": "2026-07-01"}, "effective_to"),
        ({"effective_to": "2027-08-01"}, "effective_to"),
        ({"effective_from": "2026-01-01"}, "effective_from"),
        ({"reason": ""}, "reason"),
        ({"reason": "x" * 10_000}, "reason"),
        ({"reason": "a\x00"}, "reason"),
    ],
)
def test_what_a_skip_cannot_be_is_told_at_its_field(api, cast: Cast, wrong, field):
    assert fields(post(api, cast.office, "skips", nights(cast, **wrong))) == {field}


def test_what_was_seen_of_a_zone_is_noted_by_who_works_there(api, cast: Cast, stranger):
    seen = {
        "observations": {"zone": cast.zone.pk, "date": str(TODAY), "depletion_share": 0.4, "how": "probe"},
        "trims": {"zone": cast.zone.pk, "effective_from": str(TODAY), "factor": 0.9, "reason": "New fence."},
        "site-corrections": {
            "site": cast.site.pk, "effective_from": str(TODAY), "factor": 0.9, "reason": "New walls."
        },
    }  # fmt: skip
    for rows, said in seen.items():
        answer = post(api, cast.technician, rows, said)
        assert answer.status_code == 201, answer.content
        assert answer.json() == {"id": answer.json()["id"], "by": cast.technician.pk, **said}
        once = fields(post(api, cast.office, rows, said))
        assert once == {"date" if rows == "observations" else "effective_from"}
        assert post(api, cast.client_person, rows, said).status_code == 403
        assert fields(post(api, stranger, rows, said)) == {next(iter(said))}
        other = {"depletion_share": 0.6} if rows == "observations" else {"factor": 0.8}
        edited = write(api, cast.office, "patch", answer["Location"], other).json()
        assert edited == answer.json() | other | {"by": cast.office.pk}
        assert api.delete(answer["Location"]).status_code == 405


@pytest.mark.parametrize(
    ("rows", "wrong"),
    [
        ("observations", {"depletion_share": 1.2}),
        ("observations", {"depletion_share": -0.1}),
        ("observations", {"depletion_share": None}),
        ("observations", {"date": "2026-07-07"}),
        ("observations", {"how": "x" * 81}),
        ("trims", {"factor": 0}),
        ("trims", {"factor": 2.5}),
        ("trims", {"reason": ""}),
        ("trims", {"effective_from": "2026-09-01"}),
        ("site-corrections", {"factor": 0.4}),
        ("site-corrections", {"factor": 1.6}),
        ("site-corrections", {"reason": ""}),
        ("site-corrections", {"effective_from": "2026-09-01"}),
    ],
)
def test_what_was_seen_must_be_possible(api, cast: Cast, rows, wrong):
    said = {
        "observations": {"zone": cast.zone.pk, "date": str(TODAY), "depletion_share": 0.4},
        "trims": {"zone": cast.zone.pk, "effective_from": str(TODAY), "factor": 0.9, "reason": "Fence."},
        "site-corrections": {
            "site": cast.site.pk, "effective_from": str(TODAY), "factor": 0.9, "reason": "Walls."
        },
    }[rows]  # fmt: skip
    assert fields(post(api, cast.technician, rows, said | wrong)) == set(wrong)


@pytest.mark.parametrize("lacking", ["zone", "minutes"])
def test_an_edit_may_leave_fields_out_its_runs_may_not(api, cast: Cast, lacking: str):
    api.force_authenticate(cast.owner)
    address = f"/api/v1/programs/{cast.program.pk}/"
    run = {"zone": cast.zone.pk, "minutes": 10}
    runs = [run, {name: value for name, value in run.items() if name != lacking}]
    version = api.get(address)["ETag"]
    answer = api.patch(address, {"runs": runs}, format="json", HTTP_IF_MATCH=version)
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == [f"runs.1.{lacking}"]
