"""Say whether a port of this machine is free, before anything long is done and again before serving."""

import socket


def taken(port: int) -> bool:
    """Say whether something already listens on the port (bound as a server would bind it)."""
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", port))
        except OSError:
            return True
    return False


def why_not(port: int) -> str:
    """Return why the demo can't be served on the port; empty if it can."""
    if not 1 <= port <= 65535:
        return f"PORT={port} is no port number: it must lie between 1 and 65535."
    if port < 1024 and taken(port):
        return f"Port {port} is taken, or only root may use it. Name another: PORT=8100 make demo"
    if taken(port):
        other = next((p for p in range(8100, 8200) if p != port and not taken(p)), 8100)
        return (
            f"Port {port} is taken by another program (perhaps a demo that already runs).\n"
            f"Stop that one, or name another port: PORT={other} make demo"
        )
    return ""
