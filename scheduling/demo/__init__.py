"""An invented contractor in an invented valley, always on the same summer day.

Every name, address and figure is made up. They stand in ``lists/`` and read like a contractor's own papers:
in customary units, and counted in days from the demo's date.
"""
