"""How much sun a zone gets, as the microclimate factor of the landscape coefficient method."""

from dataclasses import dataclass

from fleet.numerics.sourced import Sourced

_METHOD = "UC Cooperative Extension and California DWR (2000), A Guide to Estimating Irrigation Water Needs"


@dataclass(frozen=True, slots=True)
class Sun:
    """One exposure; ``microclimate`` is the factor kmc on the plant's coefficient [-]."""

    name: str
    microclimate: Sourced[float]


# The guide's factor is 1.0 for open ground and 0.5 to 0.9 for shade and shelter (remembered, not confirmed).
# Shade takes the middle of that range; part shade stands half way between shade and open ground.
SUNS: dict[str, Sun] = {
    "full": Sun("Full sun", Sourced(1.0, _METHOD, "from memory")),
    "part_shade": Sun(
        "Part shade", Sourced(0.85, f"{_METHOD}; half way from shade to full sun", "from memory")
    ),
    "shade": Sun("Shade", Sourced(0.7, f"{_METHOD}; middle of 0.5 to 0.9", "from memory")),
}
