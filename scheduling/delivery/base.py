"""What the rest of the service needs to know about a delivery channel."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Channel:
    """One way a change gets to a controller.

    ``lead_hours`` is how long before a night's noon-to-noon first start a decision must be taken;
    ``needs_visit`` says that it waits for somebody to stand in front of the controller.
    """

    name: str
    label: str
    to_do: str
    lead_hours: float
    needs_visit: bool
