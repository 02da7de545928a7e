"""Who keeps water when there is less: plant types in order, and the least share of its need each is left."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Keep:
    """``rank`` 1 is served first; ``least_share`` of the need is left while anybody has more, 0 to 1 [-]."""

    rank: int
    least_share: float


# Common practice, no source: trees take decades to replace, shrubs years, turf comes back from dormancy. The
# tables this project carries give no shares; these are our own; the local authority's text goes before.
CUT_ORDER: dict[str, Keep] = {
    "trees": Keep(1, 0.7),
    "shrubs": Keep(2, 0.5),
    "ground_cover": Keep(2, 0.5),
    "native": Keep(2, 0.5),
    "vegetables": Keep(3, 0.5),
    "flowers": Keep(3, 0.4),
    "warm_turf": Keep(4, 0.3),
    "cool_turf": Keep(4, 0.3),
}
