"""Every setting of a Tilewright installation, top to bottom, each from the environment with a safe default.

The README lists the variables a studio may set. Nothing here thinks further than reading one value.
"""

import os
import sys
from pathlib import Path
from urllib.parse import urlsplit

import environ
from csp.constants import NONE, SELF

from studio.environment import object_store_from, on_sqlite, port_from, worker_count, zone_name
from studio.preferences.address import base_address
from studio.secret import only_looks, secret_key_of

env = environ.Env()

BASE_DIR = Path(__file__).resolve().parent.parent

# One folder holds all that a studio must not lose: database, photographs, secret key.
DATA_DIR = Path(env.str("TILEWRIGHT_DATA", str(BASE_DIR / "data"))).expanduser().resolve()
PHOTO_DIR = DATA_DIR / "photos"
# Another disk, onto which a backup goes once a day; without one a keeper makes backups by hand.
BACKUP_DIR = env.str("TILEWRIGHT_BACKUPS", "")

# Whoever looks at a folder that holds no studio leaves it as it is.
ONLY_LOOKS = only_looks(sys.argv)
DEBUG = env.bool("TILEWRIGHT_DEBUG", False)
SECRET_KEY = env.str("TILEWRIGHT_SECRET_KEY", "") or secret_key_of(DATA_DIR, making=not ONLY_LOOKS)

PORT = port_from(env.str("PORT", "") or "8000")
WORKERS = worker_count(env.str("TILEWRIGHT_WORKERS", ""), os.cpu_count() or 1)

# The address that people's phones open and that printed codes carry. Studio preferences override it.
STUDIO_ADDRESS = base_address(env.str("TILEWRIGHT_ADDRESS", "") or f"127.0.0.1:{PORT}")
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", *env.list("TILEWRIGHT_HOSTS", default=[])]
if address_host := urlsplit(STUDIO_ADDRESS).hostname:
    ALLOWED_HOSTS.append(address_host)
CSRF_TRUSTED_ORIGINS = env.list("TILEWRIGHT_TRUSTED_ORIGINS", default=[])

# Set when a proxy in front serves HTTPS; see "HTTPS" in the README.
BEHIND_HTTPS = env.bool("TILEWRIGHT_HTTPS", False)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_HTTPS else None
SECURE_SSL_REDIRECT = BEHIND_HTTPS
SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
SECURE_HSTS_SECONDS = 31_536_000 if BEHIND_HTTPS else 0
# A studio's address is one host: what its domain holds besides is not ours to bind to HTTPS.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SECURE_REFERRER_POLICY = "same-origin"
SESSION_ENGINE = "studio.people.sessions.queries"
SESSION_COOKIE_SECURE = BEHIND_HTTPS
SESSION_COOKIE_AGE = 60 * 60 * 24 * 90
CSRF_COOKIE_SECURE = BEHIND_HTTPS
X_FRAME_OPTIONS = "DENY"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
    "csp",
    "django_filters",
    "django_htmx",
    "django_tasks",
    "django_tasks_db",
    "simple_history",
    "firings",
    "tiles",
    "studio",
]

# A monitoring system that shows this key is told figures under /metrics; without one there is no such page.
METRICS_KEY = env.str("TILEWRIGHT_METRICS_KEY", "")
if METRICS_KEY:
    # Several processes count together, each in a file of its own there.
    os.environ.setdefault("PROMETHEUS_MULTIPROC_DIR", str(DATA_DIR / "metrics"))
    if not ONLY_LOOKS:
        Path(os.environ["PROMETHEUS_MULTIPROC_DIR"]).mkdir(parents=True, exist_ok=True)

MIDDLEWARE = [
    "studio.middleware.request_in_log",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "studio.middleware.preferences_on_request",
]

if METRICS_KEY:
    MIDDLEWARE = [
        "django_prometheus.middleware.PrometheusBeforeMiddleware",
        *MIDDLEWARE,
        "django_prometheus.middleware.PrometheusAfterMiddleware",
    ]

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "OPTIONS": {
            "loaders": [
                (
                    "django.template.loaders.cached.Loader",
                    [
                        "django.template.loaders.filesystem.Loader",
                        "django.template.loaders.app_directories.Loader",
                    ],
                )
            ]
            if not DEBUG
            else [
                "django.template.loaders.filesystem.Loader",
                "django.template.loaders.app_directories.Loader",
            ],
            "builtins": ["firings.templatetags.icons"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]
FORM_RENDERER = "firings.forms.Renderer"

# SQLite as measured for many writers: with the defaults 594 of 800 concurrent writes answered
# "database is locked"; with write-ahead log, immediate transactions and a busy timeout none did.
DATABASE_URL = env.str("DATABASE_URL", "")
ON_SQLITE = on_sqlite(DATABASE_URL)
DATABASES: dict[str, dict] = {
    "default": env.db("DATABASE_URL")
    if DATABASE_URL
    else {"ENGINE": "django.db.backends.sqlite3", "NAME": DATA_DIR / "tilewright.sqlite3"}
}
if ON_SQLITE:
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
            "PRAGMA cache_size=-32000; PRAGMA temp_store=MEMORY;"
        ),
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
    DATABASES["default"].setdefault("OPTIONS", {}).setdefault("connect_timeout", 5)
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "studio.Person"
AUTHENTICATION_BACKENDS = ["studio.people.rights.queries.Rights", "django.contrib.auth.backends.ModelBackend"]
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "waiting:home"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "cache",
    }
}

# What nobody should wait for is written down here and done by a worker; see studio/work.
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
# Whether `manage.py start` keeps a worker beside the pages, or you run `manage.py worker` yourself.
START_WORKER = env.bool("TILEWRIGHT_START_WORKER", True)

# Mail is sent only where a server is named; without one, keepers hand links over.
MAIL = env.email_url("TILEWRIGHT_MAIL", default="consolemail://")
MAIL_IS_ON = "TILEWRIGHT_MAIL" in os.environ
EMAIL_BACKEND = MAIL["EMAIL_BACKEND"]
EMAIL_HOST, EMAIL_PORT = MAIL["EMAIL_HOST"], MAIL["EMAIL_PORT"] or 25
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL["EMAIL_HOST_USER"] or "", MAIL["EMAIL_HOST_PASSWORD"] or ""
EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL.get("EMAIL_USE_TLS", False), MAIL.get("EMAIL_USE_SSL", False)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env.str("TILEWRIGHT_MAIL_FROM", "") or "tilewright@localhost"

# Whoever sits at this very machine may come in as anyone, without a password. Meant for one desk that nobody else uses.
WITHOUT_PASSWORDS = env.bool("TILEWRIGHT_WITHOUT_PASSWORDS", False)

LANGUAGE_CODE = "en-gb"
TIME_ZONE = zone_name(os.environ)
USE_TZ = True
# One language, so that nothing on a page is looked up among translations; dates are written and read as in Britain.
USE_I18N = False
DATE_FORMAT, MONTH_DAY_FORMAT, SHORT_DATE_FORMAT = "j M Y", "j F", "d/m/Y"
DATETIME_FORMAT, SHORT_DATETIME_FORMAT = "j M Y, P", "d/m/Y P"
FIRST_DAY_OF_WEEK = 1
DATE_INPUT_FORMATS = ["%d/%m/%Y", "%d/%m/%y", "%Y-%m-%d"]
DATETIME_INPUT_FORMATS = [
    f"{day} {time}"
    for day in ("%Y-%m-%d", "%d/%m/%Y", "%d/%m/%y")
    for time in ("%H:%M:%S", "%H:%M:%S.%f", "%H:%M")
]

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = BASE_DIR / "build" / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": PHOTO_DIR}},
    "staticfiles": {"BACKEND": "studio.http.NamedByContent"},
}

# Originals of photos may lie in an S3-style object store, which several machines share.
if objects := env.str("TILEWRIGHT_OBJECTS", ""):
    STORAGES["originals"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": object_store_from(objects),
    }

# A 48-megapixel phone picture is about 25 MB; anything above is refused before it is read whole.
PHOTO_MAX_BYTES = 40 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
# The first of them leaves a picture that is too large unread instead of filling the disk with it.
FILE_UPLOAD_HANDLERS = [
    "tiles.photos.http.LeaveOutTooLarge",
    "tiles.photos.http.KeepArriving",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

# Nothing is loaded from another host, no inline script or style runs.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"mark": {"()": "studio.logs.marks.Marking"}},
    "formatters": {
        "plain": {"format": "{asctime} {levelname} {name} [{request}]: {message}", "style": "{"},
        "json": {
            "()": "pythonjsonlogger.json.JsonFormatter",
            "format": "{asctime}{levelname}{name}{request}{message}",
            "style": "{",
            "rename_fields": {"asctime": "at", "levelname": "level", "name": "where", "message": "words"},
        },
    },
    "handlers": {
        "terminal": {
            "class": "logging.StreamHandler",
            "filters": ["mark"],
            "formatter": env.str("TILEWRIGHT_LOG_FORMAT", "plain"),
        }
    },
    # A form that was not understood, a name we do not serve: the asker is told, it is no news for the log.
    "loggers": {
        "django.request": {"level": "ERROR"},
        "django.security.DisallowedHost": {"level": "CRITICAL"},
    },
    "root": {"handlers": ["terminal"], "level": env.str("TILEWRIGHT_LOG", "WARNING")},
}
