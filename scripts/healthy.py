"""Ask the web server of this machine for its front page; exit 0 if it answers without an error of its own."""

import http.client
import os
import sys


def answer(port: int) -> int:
    """Return the status of ``/``, asked for as a proxy would: by the public name, over HTTPS if it is on."""
    name = os.environ.get("BLUESTEM_HOSTS", "").split(",")[0].strip().lstrip("*.") or "localhost"
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=8)
    connection.request("GET", "/", headers={"Host": name, "X-Forwarded-Proto": "https"})
    return connection.getresponse().status


def main(port: int = 8000) -> int:
    try:
        status = answer(port)
    except OSError as error:
        print(f"no answer: {error}")
        return 1
    print(f"status {status}")
    return int(status >= 400)


if __name__ == "__main__":
    sys.exit(main())
