"""Figures of an invented summary, as they are stored."""

from typing import Any


def summary_figures(name: str = "Heron School", client: int = 7, **other: Any) -> dict[str, Any]:
    """Return the figures of a June that saved 1,500 of 10,000 L."""
    return {
        "client": client,
        "name": name,
        "month": "2026-06",
        "from": "2026-06-01",
        "through": "2026-06-30",
        "complete": True,
        "units": "us",
        "kind": "estimated",
        "baseline": "found",
        "empty": "",
        "weather": [
            {
                "site": f"{name} grounds",
                "days": 2,
                "rain_mm": 12.7,
                "et0_mm": 150.0,
                "usual_rain_mm": 25.4,
                "usual_et0_mm": 140.0,
                "next_et_share": 1.1,
                "by_day": [
                    {"date": "2026-06-01", "rain_mm": 12.7, "et0_mm": 70.0},
                    {"date": "2026-06-02", "rain_mm": 0.0, "et0_mm": 80.0},
                ],
            }
        ],
        "applied_l": 8500.0,
        "baseline_l": 10000.0,
        "withheld_l": 0.0,
        "saved_l": 1500.0,
        "uncertainty_l": None,
        "detected": None,
        "money": "3.75",
        "currency": "USD",
        "adequacy": 0.99,
        "beside": {"baseline": "monthly", "baseline_l": 9000.0, "saved_l": 500.0},
        "left_out": [],
        "sites": [
            {
                "site": 1,
                "name": f"{name} grounds",
                "closed": False,
                "applied_l": 8500.0,
                "baseline_l": 10000.0,
                "saved_l": 1500.0,
                "adequacy": 0.99,
            }
        ],
        "months": [{"month": "2026-06", "applied_l": 8500.0, "baseline_l": 10000.0, "monthly_l": 9000.0}],
        "done": {"weather": [], "contractor": [], "repairs": [], "wishes": []},
        "next": [],
        "assumed": [],
    } | other
