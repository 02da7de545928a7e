"""A pull's report as lines for a terminal."""

from collections.abc import Iterator

from weather.services.reports import FetchReport


def lines(report: FetchReport) -> Iterator[str]:
    """Yield a pull's counts, then what went wrong, one line each."""
    yield (
        f"{report.on}: {report.cells} cells, {report.done} fetched, {report.already_done} done before, "
        f"{report.failed} failed; {report.observed_stored} observed and {report.forecast_stored} forecast "
        f"days stored, reference ET filled in for {report.reference_et_filled}."
    )
    for alert in report.alerts:
        yield f"  {alert['id']}: {alert['message']} ({alert['code']})"
    for failure in report.failures:
        yield f"  cell {failure['id']}: {failure['message']} ({failure['code']})"
