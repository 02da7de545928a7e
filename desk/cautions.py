"""Short cautions for work that can hurt people, deferring to local codes and licensed practice."""

CONTROLLER = (
    "A controller's cabinet can hold mains voltage. Switch it off at the breaker before you open it, and "
    "leave mains wiring to a licensed electrician; local codes come first.",
    "Watch the first cycle: water on walkways is slippery and freezes, and runoff says that cycles are "
    "too long.",
)
SITE = (
    "Water from an irrigation system isn't for drinking. The backflow preventer keeps it out of the "
    "house's water: leave it in place and have it tested as local code asks, by a licensed tester.",
    "Before anybody digs, have buried lines marked; in the US a call to 811 does that.",
    "Blowing pipes out with compressed air before winter can burst them and hurt people. Leave it to "
    "somebody trained, never above the pressure that the makers of pipe and heads allow.",
    "Keep away from heads that start without warning at night, and from wet or icy walkways below them.",
)
