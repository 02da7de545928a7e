"""An invented change for the documentation of the interface."""

from typing import Any

ROW: dict[str, Any] = {
    "id": 310,
    "program": 52,
    "program_name": "Front lawn, A",
    "client": 7,
    "client_name": "Example School",
    "site": 9,
    "site_name": "Main grounds",
    "controller": 14,
    "controller_name": "Gym wall",
    "whole_controller": False,
    "kind": "percent",
    "status": "pending",
    "current": 100,
    "proposed": 85,
    "decided": None,
    "detail": None,
    "effective_from": "2026-07-06",
    "effective_to": None,
    "reason": "Cooler week ahead: 31 mm needed against 37 mm given.",
    "hints": [],
    "effect": {"litres": -8200.0, "money": -21.4, "currency": "USD"},
    "risk": {"keep": "none", "change": "none"},
    "deciding_zone": 203,
    "deciding_zone_name": "3 South bank",
    "decided_by": None,
    "decided_by_name": None,
    "decided_at": None,
    "applied_at": None,
    "applied_on": None,
    "run": 41,
    "automatic": False,
}
DETAIL: dict[str, Any] = {
    **ROW,
    "inputs": {},
    "events": [
        {
            "from": "",
            "to": "pending",
            "by": None,
            "by_name": None,
            "at": "2026-07-06T11:00:08Z",
            "value": 85,
            "note": "",
        }
    ],
}

BEFORE: dict[str, Any] = {
    "days": "mon thu",
    "starts": ["03:30"],
    "percent": 140,
    "runs": [
        {"zone": 203, "number": 3, "name": "South bank", "minutes": 24.0, "cycle": 8.0, "soak": 20.0},
        {"zone": 204, "number": 4, "name": "North bank", "minutes": 18.0, "cycle": None, "soak": None},
    ],
}
AFTER: dict[str, Any] = {
    **BEFORE,
    "percent": 105,
    "runs": [{**BEFORE["runs"][0], "minutes": 33.0}, BEFORE["runs"][1]],
}
ALTERED: dict[str, Any] = {
    "kind": "minutes",
    "current": 140,
    "proposed": 105,
    "detail": {
        "programs": [
            {"program": 52, "letter": "A", "name": "Front lawn", "before": BEFORE, "after": AFTER},
        ]
    },
    "reason": "Zone 3 South bank alone asks for 140 % of program A; the others would do with 100 %. "
    "9 minutes more for it free 40 points.",
    "effect": {"litres": -2600.0, "money": -6.8, "currency": "USD"},
    "run": None,
}
ALTERED_ROW: dict[str, Any] = {**ROW, **ALTERED}
ALTERED_DETAIL: dict[str, Any] = {
    **DETAIL,
    **ALTERED,
    "events": [
        {
            **DETAIL["events"][0],
            "by": 12,
            "by_name": "Office of Example Irrigation",
            "value": None,
            "note": "Proposed from advice.",
        }
    ],
}
