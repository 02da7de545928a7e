"""Jargon in a sentence, for the hint beside it."""

TERMS = {
    "percent": "The seasonal adjustment at the controller: it stretches or shortens every run of a program.",
    "reference ET": "What a well-watered short lawn gives off, from sun, warmth, wind and humidity.",
    "depletion": "Water missing from the root zone, counted down from soil as full as it stays by itself.",
    "dry limit": "Beyond this much missing water, plants slow down. It is a share of what the soil can hold.",
    "held to": "Programs are kept a little above the dry limit, so that one hot day does no harm.",
    "credited rain": (
        "Of forecast rain only what this source has earned by being right here counts, and of that "
        "four fifths reach the roots."
    ),
    "stress": (
        "How far and how long the driest zone is past the line it should be held to, as a mean over the days."
    ),
    "uniformity": (
        "How evenly heads water: the driest quarter's share of the mean. Measured with catch cans, "
        "else from a table."
    ),
    "cycle and soak": "A run is split so that water soaks in instead of running off.",
    "water budget": (
        "A share of what reference ET would take from the area of the zones counted here, as ordinances and "
        "the EPA reckon it; the company sets the share. Food and reclaimed water count in full. For context "
        "only: it is no permit, and what a town allows may be less."
    ),
    "need met": (
        "Adequacy: the share of what plants would have drunk that they could, as the soil water account "
        "reckons it. Near 100 % nothing went short; lower, plants slowed down for want of water."
    ),
    "measured": (
        "What meters counted in whole bills that ended in these months, against a baseline of the same "
        "meter's earlier bills and the weather of their days. Nine times in ten the true saving lies within "
        "what is told as uncertain; where that is more than half of it, nothing is detected."
    ),
    "not explained": (
        "What meters counted beyond what programs applied, on days all of a site's water is metered and "
        "every zone counts; sites with indoor use are left out. Below nothing, less was counted than applied."
    ),
    "survey": "What was written down about a zone: plants, heads, soil, slope, sun, area.",
    "assumed": "Not measured at this site. A table value or a usual figure stands in.",
    "night": "From noon to noon: a start at 4 in the morning belongs to the evening before.",
    "risk": "What plants go through in the coming days if nothing is changed, and if the change is made.",
    "last call": "The latest time to decide: after it the skip can no longer reach the controller.",
}
