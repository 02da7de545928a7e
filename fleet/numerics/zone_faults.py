"""What can be seen at a zone while it runs, and which part it is about. Our own list."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing to tick: its words, and the part that is broken (as findings name parts)."""

    words: str
    part: str


FAULTS: dict[str, Fault] = {
    "broken_head": Fault("broken head", "head"),
    "clogged_nozzle": Fault("clogged nozzle or emitter", "nozzle"),
    "tilted": Fault("tilted or sunken head", "head"),
    "misting": Fault("misting, pressure too high", "nozzle"),
    "low_pressure": Fault("weak throw, pressure too low", "pipe"),
    "leak": Fault("leak", "pipe"),
    "dry_spot": Fault("dry spot", "something else"),
    "overspray": Fault("throws onto pavement or a wall", "nozzle"),
    "not_turning": Fault("head doesn't turn", "head"),
    "wont_open": Fault("valve doesn't open", "valve"),
    "wont_shut": Fault("valve doesn't shut", "valve"),
    "wrong_zone": Fault("another zone came on", "wire"),
}
