"""An invented contractor in an invented valley, always on the same summer day.

Every name, address and figure is made up. The tables stand in ``tables/`` and read like a contractor's own
lists: in customary units, and counted in days from the demo's date.
"""
