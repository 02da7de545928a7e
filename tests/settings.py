"""The settings of the tests: the service's own, cut off from this machine's environment and ``.env``.

``BLUESTEM_TEST_DATABASE_URL`` alone is heard: it puts the tests on another database than SQLite.
"""

import os
import tempfile
from pathlib import Path

_TEST_DATABASE_URL = os.environ.get("BLUESTEM_TEST_DATABASE_URL", "")
for _name in [*os.environ]:
    _ours = _name in {"DATABASE_URL", "CELERY_BROKER_URL"} or _name.startswith("BLUESTEM_")
    if _ours and _name != "BLUESTEM_TEST_DATABASE_URL":
        del os.environ[_name]
os.environ["BLUESTEM_ENV_FILE"] = ""
os.environ["BLUESTEM_SECRET_KEY"] = "only-for-tests-" + "x" * 40
os.environ["BLUESTEM_HOSTS"] = "testserver,127.0.0.1,localhost"
os.environ["BLUESTEM_WEATHER_SOURCE"] = "invented"
if _TEST_DATABASE_URL:
    os.environ["DATABASE_URL"] = _TEST_DATABASE_URL

from config.settings import *  # noqa: E402, F403
from config.settings import DATABASES, STORAGES  # noqa: E402

# A file, not memory: threads that meet in a test wait for each other as they do in the service. The
# process's number is in every name, so two runs on one machine never share a database.
SQLITE_FILE = Path(tempfile.gettempdir()) / f"bluestem-tests-{os.getpid()}.sqlite3"
if _TEST_DATABASE_URL:
    DATABASES["default"]["TEST"] = {"NAME": f"test_bluestem_{os.getpid()}"}
else:
    DATABASES["default"]["TEST"] = {"NAME": str(SQLITE_FILE)}
    DATABASES["default"]["OPTIONS"]["init_command"] += " PRAGMA synchronous=OFF;"

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
MEDIA_ROOT = Path(tempfile.gettempdir()) / f"bluestem-tests-{os.getpid()}-media"
WHITENOISE_AUTOREFRESH = True  # looks files up when asked, instead of reading every one at each start
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
