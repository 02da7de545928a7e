"""Places offline: time zones, ZIP codes, heights of neighbours."""

import pytest

from common.errors import Refused
from fleet.models import Company
from fleet.selectors.places import distance_km, height_near, place_of_zip, timezone_at, zip_in
from tests.cast import Cast, a_site


@pytest.mark.parametrize(
    ("latitude", "longitude", "name"),
    [
        (39.21, -121.06, "America/Los_Angeles"),
        (40.71, -74.0, "America/New_York"),
        (33.45, -112.07, "America/Phoenix"),  # Arizona keeps standard time
        (-33.87, 151.21, "Australia/Sydney"),
        (0.0, 0.0, "Etc/GMT"),
    ],
)
def test_a_time_zone_is_found_offline(latitude, longitude, name):
    assert timezone_at(latitude, longitude) == name


def test_no_time_zone_off_the_globe():
    with pytest.raises(Refused):
        timezone_at(91, 0)


def test_a_zip_code_in_an_address():
    assert zip_in("12345 Elm Street, Grass Valley, CA 95945-1234") == "95945"
    assert zip_in("no code 1234 or 123456") == ""
    found = place_of_zip("95945")
    assert found is not None
    assert (found.town, found.latitude, found.longitude) == ("Grass Valley, CA", 39.2081, -121.0069)
    assert place_of_zip("00000") is None
    assert place_of_zip("9594") is None


def test_a_degree_of_latitude_is_a_sixtieth_of_sixty_nautical_miles():
    """60 nautical miles of 1.852 km: 111.12 km; the sphere of 6371 km gives 111.19 (haversine, by hand)."""
    assert distance_km(39.0, -121.0, 40.0, -121.0) == pytest.approx(111.19, abs=0.01)


def test_the_height_is_the_nearest_known_ones_of_the_own_company(cast: Cast):
    a_site(cast.client, "High", latitude=39.25, elevation_m=700.0)
    near = height_near([cast.company.pk], 39.245, -121.1)
    assert near is not None
    assert (near.elevation_m, near.of, round(near.distance_km, 1), near.far) == (700.0, "High", 0.6, False)
    a_site(cast.client, "Guess", latitude=39.245, elevation_m=1.0, elevation_basis="assumed")
    assert height_near([cast.company.pk], 39.245, -121.1) == near
    assert height_near([Company.objects.create(name="Elsewhere").pk], 39.245, -121.1) is None
    assert height_near([], 39.245, -121.1) is None
