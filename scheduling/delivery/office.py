"""Entered from the office through whatever remote access the controller has."""

from scheduling.delivery.base import Channel

OFFICE = Channel(
    name="office",
    label="entered from the office",
    to_do="to enter from the office",
    lead_hours=2.0,
    needs_visit=False,
)
