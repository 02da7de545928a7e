"""Where a site lies, from what was typed or the ZIP code in its address; zone and height from that."""

from dataclasses import dataclass
from typing import Any

from desk.set_up.amounts import HEIGHT
from desk.set_up.form import Form
from fleet.selectors.places import Height, height_near, place_of_zip, timezone_at, zip_in


@dataclass(frozen=True)
class Found:
    """A place with how each of its figures is known."""

    latitude: float | None = None
    longitude: float | None = None
    about: str = ""
    timezone: str = ""
    timezone_found: bool = False
    elevation_m: float | None = None
    near: Height | None = None
    no_zip: str = ""

    @property
    def height_basis(self) -> str:
        """Tell how the height is known."""
        return "assumed" if self.near else "measured"

    def fields(self) -> dict[str, Any]:
        """Return what the site is set up with."""
        return {
            "latitude": self.latitude,
            "longitude": self.longitude,
            "elevation_m": self.elevation_m,
            "elevation_basis": self.height_basis,
            "timezone": self.timezone,
        }

    def height_text(self, units: str) -> str:
        """Return the height as it would be typed."""
        return HEIGHT.text(self.elevation_m, units)

    def distance_words(self, units: str) -> str:
        """Return how far off the height comes from."""
        if self.near is None:
            return ""
        far = self.near.distance_km / 1.609344 if units == "us" else self.near.distance_km
        return f"{far:.1f} {'miles' if units == 'us' else 'km'}"


def found_place(form: Form, *, company_id: int) -> Found:
    """Return the place of a site."""
    about = no_zip = ""
    spot = form.values.get("place")
    code = zip_in(str(form.texts.get("address", "")))
    if spot is None and code and "place" not in form.errors:
        middle = place_of_zip(code)
        if middle:
            spot = (middle.latitude, middle.longitude)
            about = f"about the middle of ZIP {middle.code} ({middle.town}), correct it"
        else:
            no_zip = code
    if spot is None:
        return Found(
            no_zip=no_zip, elevation_m=form.values.get("elevation"), timezone=form.values["timezone"] or ""
        )
    typed = form.values.get("elevation")
    near = height_near([company_id], *spot) if typed is None else None
    return Found(
        latitude=spot[0],
        longitude=spot[1],
        about=about,
        timezone=form.values.get("timezone") or timezone_at(*spot),
        timezone_found=not form.values.get("timezone"),
        elevation_m=near.elevation_m if near else typed,
        near=near,
    )
