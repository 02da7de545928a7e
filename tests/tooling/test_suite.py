"""What make test says at its end."""

from collections import Counter

import pytest

from scripts.suite import Outcome, conclude, read

REPORT = """<testsuites><testsuite>
<testcase name="a" time="0.1"/>
<testcase name="b"><failure message="no">text</failure></testcase>
<testcase name="c"><error message="no">text</error></testcase>
<testcase name="d"><skipped type="pytest.skip" message="no Redis answers"/></testcase>
<testcase name="e"><skipped type="pytest.xfail" message="known"/></testcase>
</testsuite></testsuites>"""


def test_passed_failed_and_left_out_are_counted_apart(tmp_path):
    (tmp_path / "report.xml").write_text(REPORT)
    outcome = read(tmp_path / "report.xml", 1)
    assert (outcome.passed, outcome.failed) == (2, 2)
    assert outcome.left_out == Counter({"no Redis answers": 1})


def test_a_run_that_wrote_no_report_counts_as_a_failure(tmp_path):
    assert read(tmp_path / "none.xml", 3).failed == 1


def test_what_was_left_out_is_said_with_its_reason(capsys):
    outcome = Outcome(0, passed=5, left_out=Counter({"no Redis answers": 2}))
    assert conclude([outcome, Outcome(0, passed=3)], complete=True) == 0
    assert capsys.readouterr().out.splitlines() == [
        "Left out: 2 tests (no Redis answers).",
        "total: 8 passed, 0 failed, 2 skipped",
    ]


def test_a_failure_on_either_database_fails_the_whole():
    assert conclude([Outcome(0, passed=5), Outcome(1, passed=2, failed=1)], complete=True) == 1


@pytest.mark.parametrize(("ci", "exit_code"), [("true", 1), ("", 0)])
def test_a_missing_postgresql_fails_the_run_in_ci_alone(monkeypatch, ci, exit_code):
    monkeypatch.setenv("CI", ci)
    assert conclude([Outcome(0, passed=5)], complete=False) == exit_code
