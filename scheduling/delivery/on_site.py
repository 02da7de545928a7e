"""Entered by a technician at the controller on the next visit."""

from scheduling.delivery.base import Channel

ON_SITE = Channel(
    name="on_site",
    label="entered on a visit",
    to_do="to enter on the next visit",
    lead_hours=0.0,
    needs_visit=True,
)
