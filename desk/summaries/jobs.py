"""What a summary is printed from: its figures and the company's letterhead, read once."""

from django.conf import settings
from django.urls import reverse

from common import clock
from desk.cards import letterhead, paper_of
from desk.company import timezone_of
from desk.summaries.printing import Job
from reports.models import Summary


def job_of(summary: Summary) -> Job:
    """Return what one summary is printed from; take it with its client and company."""
    company = summary.client.company
    return Job(
        key=summary.pk,
        figures=summary.figures,
        remark=summary.remark,
        letterhead=letterhead(company),
        paper=paper_of(company.units),
        call=[word for word in (company.contact_name, company.phone, company.email) if word]
        or [company.name],
        address=settings.SITE_URL + reverse("desk:morning"),
        on=clock.today(timezone_of(company.pk)),
    )
