"""Find a PostgreSQL on this machine that the tests may make a database of their own on."""

import getpass
import os
from urllib.parse import quote

import psycopg

ASK = "select rolcreatedb or rolsuper from pg_roles where rolname = current_user"


def candidates() -> list[str]:
    """Return the addresses to try: the one named, else the usual users on the standard port."""
    if named := os.environ.get("BLUESTEM_TEST_DATABASE_URL"):
        return [named]
    host, port = os.environ.get("PGHOST", "127.0.0.1"), os.environ.get("PGPORT", "5432")
    password = quote(os.environ.get("PGPASSWORD", ""), safe="")
    users = dict.fromkeys([os.environ.get("PGUSER", ""), getpass.getuser(), "postgres"])
    return [
        f"postgres://{quote(user, safe='')}{':' + password if password else ''}@{host}:{port}/postgres"
        for user in users
        if user
    ]


def find() -> tuple[str, str]:
    """Return an address where databases may be made; else an empty one, and why."""
    why = ""
    for url in candidates():
        try:
            with psycopg.connect(url, connect_timeout=3) as connection:
                row = connection.execute(ASK).fetchone()
        except psycopg.OperationalError as error:
            why = why or str(error).strip().splitlines()[0]
            continue
        if row and row[0]:
            return url, ""
        why = "its user may not make databases"
    return "", why
