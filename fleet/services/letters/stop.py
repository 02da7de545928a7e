"""Stop what still waits for a client when access is closed or moves to another day."""

from fleet.models import Client, Letter

ABOUT_ACCESS = (Letter.Kind.OPENING_PACK, Letter.Kind.OPENING)


def stop_about_access(client: Client) -> int:
    """Stop letters about a client's access that nobody has claimed yet; return how many."""
    waiting = Letter.objects.filter(client=client, kind__in=ABOUT_ACCESS, state=Letter.State.WAITING)
    return waiting.update(state=Letter.State.STOPPED)
