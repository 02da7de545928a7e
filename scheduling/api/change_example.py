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
