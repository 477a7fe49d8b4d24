"""Settings of the workshop book: safe as they stand, changed through the environment (README lists the names)."""

import os
import shlex
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

import platformdirs
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from studio.server import certificate, database, documents, ground, mail_account, network, secret_key, shared_cache

ROOT = Path(__file__).resolve().parent.parent
DATA = Path(os.environ.get("MORDANT_DATA") or platformdirs.user_data_path("mordant", appauthor=False)).absolute()
ground.make(DATA)

BIND_HOST, BIND_PORT = network.host_and_port(os.environ.get("MORDANT_BIND") or "127.0.0.1:8000")
if os.environ.get("MORDANT_SHARE", "0") not in ("", "0") and network.is_loopback(BIND_HOST):
    BIND_HOST = "0.0.0.0"
SHARED = not network.is_loopback(BIND_HOST)
# With a certificate the book speaks HTTPS itself; without one a proxy does, where MORDANT_URL says so.
CERTIFICATE = certificate.from_files(os.environ.get("MORDANT_CERTIFICATE", ""))
SCHEME = "https" if CERTIFICATE else "http"
# What printed codes point at, such as https://book.example.org; when empty, the address of whoever prints.
PUBLIC_URL = os.environ.get("MORDANT_URL", "").rstrip("/")
if SHARED and not PUBLIC_URL:
    PUBLIC_URL = network.url(SCHEME, network.address(), BIND_PORT)
if PUBLIC_URL and not PUBLIC_URL.startswith(("http://", "https://")):
    raise ImproperlyConfigured("MORDANT_URL must begin with http:// or https://")
if CERTIFICATE and PUBLIC_URL.startswith("http:"):
    raise ImproperlyConfigured(
        "With MORDANT_CERTIFICATE the book speaks HTTPS, so MORDANT_URL must begin with https://"
    )
# Below a path of a host that has others too, such as /mordant; the proxy may leave it in place or take it off.
BELOW = urlsplit(PUBLIC_URL).path
FORCE_SCRIPT_NAME = BELOW or None
HTTPS = bool(CERTIFICATE) or PUBLIC_URL.startswith("https://")
# How many proxies of the studio's own stand in front; only their word on who asks, and how, is taken.
PROXIES = int(os.environ.get("MORDANT_PROXIES") or (HTTPS and not CERTIFICATE))

SECRET_KEY = secret_key.chosen(os.environ.get("MORDANT_SECRET_KEY", ""), DATA / "secret_key")
DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *os.environ.get("MORDANT_HOSTS", "").replace(",", " ").split()]
if SHARED:
    ALLOWED_HOSTS += network.names()
if PUBLIC_URL:
    _public = urlsplit(PUBLIC_URL)
    ALLOWED_HOSTS.append(_public.hostname or "")
    CSRF_TRUSTED_ORIGINS = [f"{_public.scheme}://{_public.netloc}"]

# What looks through each file that somebody brings, told its content; words of a command, never of a shell.
SCANNER = shlex.split(os.environ.get("MORDANT_SCANNER", ""))

# Mail is sent where the studio gave the book an account; MAIL knows which, Django's own settings follow it.
MAIL = mail_account.from_url(os.environ.get("MORDANT_MAIL", ""))
EMAIL_HOST, EMAIL_PORT, EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL.host, MAIL.port, MAIL.user, MAIL.password
EMAIL_USE_TLS, EMAIL_USE_SSL, EMAIL_TIMEOUT = MAIL.starts_tls, MAIL.uses_tls, mail_account.TIMEOUT_S
DEFAULT_FROM_EMAIL = SERVER_EMAIL = MAIL.sender or "nobody@localhost"

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"
INSTALLED_APPS = [
    "studio",  # before Django's own, whose `test` command it replaces
    "inventory",
    "studio.printing",
    "studio.workshop",
    "studio.people",
    "studio.book",
    "studio.shelf",
    "studio.orders",
    "studio.baths",
    "studio.bites",
    "studio.cathodes",
    "studio.hazards",
    "studio.waste",
    "studio.safety",
    "studio.bench",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_filters",
    "django_htmx",
    "django_tables2",
]
MIDDLEWARE = [
    "studio.server.health.answered",
    "studio.server.front.said_plainly",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "studio.server.front.packed",
    "studio.server.front.content_policy",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.middleware.http.ConditionalGetMiddleware",  # what opens without signing in, for the rest is kept nowhere
    "django.middleware.common.CommonMiddleware",
    "studio.server.front.known_addresses",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "studio.pages.documents.TooLarge",  # before anything reads what is sent
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "studio.people.middleware.SignInFirst",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "studio.workshop.middleware.workshop",
    "studio.people.middleware.person",
    "studio.people.middleware.ViewersRead",
    "studio.people.middleware.sign_in_on_the_whole_page",
    "axes.middleware.AxesMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": [
                "django.templatetags.i18n",
                "studio.templatetags.dates",
                "studio.templatetags.digits",
                "studio.templatetags.wording",
            ],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "studio.workshop.middleware.workshop_on_pages",
            ],
        },
    }
]

_database_url, _direct_url = (
    secret_key.told(name, os.environ.get(name, "")) for name in ("DATABASE_URL", "DATABASE_DIRECT_URL")
)
DATABASES = {"default": database.from_url(_database_url, data=DATA)}
DIRECT_DATABASE = database.from_url(_direct_url, data=DATA) if _direct_url else None
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},  # of each worker
    "shared": shared_cache.chosen(
        os.environ.get("MORDANT_CACHE", ""), data=DATA, of_database=DATABASES["default"]["ENGINE"]
    ),
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "studio.people.backend.BookBackend",
    "studio.people.backend.PinBackend",
]
PASSWORD_HASHERS = ["studio.people.backend.SmallMachineArgon2"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "studio.people.passwords.Guessable"},
]
OTP_TOTP_ISSUER = "Mordant"
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "bench:bench"
LOGOUT_REDIRECT_URL = "people:sign_in"

AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
# by name and address together: one bad typist must not lock out the others behind the same address
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_HANDLER = "studio.people.backend.Throttle"  # and ten times looser by address alone
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_LOCKOUT_TEMPLATE = "registration/lockout.html"
AXES_CLIENT_IP_CALLABLE = "studio.server.network.client_address"
AXES_DISABLE_ACCESS_LOG = True  # who signed in when, and with which browser, is nobody's business
AXES_SENSITIVE_PARAMETERS = ["username", "ip_address", "pin"]  # kept with a failed try as asterisks
AXES_ENABLE_ADMIN = False

SESSION_ENGINE = "studio.people.sessions"
SESSION_COOKIE_AGE = 3 * 24 * 3600  # without a sign of life; `studio.people.sessions` ends the longest stay
# Own names, because browsers keep one cookie jar for all ports and paths of a machine; with the prefix, no neighbour's
# page of the same domain can leave one of its own making. The stricter prefix allows no path.
COOKIES = f"mordant{BELOW.replace('/', '-')}_{{}}"
if HTTPS:
    COOKIES = ("__Secure-" if BELOW else "__Host-") + COOKIES
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = COOKIES.format("session"), COOKIES.format("csrf")
SESSION_COOKIE_PATH = CSRF_COOKIE_PATH = f"{BELOW}/"
# A Secure cookie on a plain-HTTP home network would lock everybody out.
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
# Other names under the studio's domain are not the book's to bind to HTTPS.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
if PROXIES:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "connect-src": [SELF],
        "font-src": [SELF],
        "img-src": [SELF, "data:"],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "object-src": [NONE],
        "frame-ancestors": [NONE],
    }
}

STATIC_URL = f"{BELOW}/static/"
STATIC_ROOT = DATA / "static"
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.AppDirectoriesFinder", "studio.printing.fonts.FontFinder"]
# served by a view that asks who is there, never as static files
MEDIA_ROOT, _documents = documents.chosen(os.environ.get("MORDANT_DOCUMENTS", ""), data=DATA)
_backups = documents.for_backups(os.environ.get("MORDANT_BACKUPS", ""), data=DATA, documents=(MEDIA_ROOT, _documents))
FILE_UPLOAD_PERMISSIONS = 0o600
STORAGES = {
    "default": _documents,
    "backups": _backups,
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}

# One language for everybody in the studio: papers and the book are read by others than whoever is signed in.
LANGUAGE_CODE = os.environ.get("MORDANT_LANGUAGE") or "en"
LANGUAGES = [("en", "English")] + [(LANGUAGE_CODE, LANGUAGE_CODE)] * (LANGUAGE_CODE != "en")
LOCALE_PATHS = [DATA / "locale"]  # catalogues of the studio's own
USE_TZ = True
TIME_ZONE = "UTC"  # the workshop's own time zone is set on each request

DJANGO_TABLES2_TEMPLATE = "components/table.html"

LOG_FORM = os.environ.get("MORDANT_LOG") or "line"
if LOG_FORM not in ("line", "json"):
    raise ImproperlyConfigured("MORDANT_LOG must be json, or be left out")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "studio.server.logs.Line",
            "format": "{asctime} {levelname} {name}: {message}",
            "style": "{",
        },
        "json": {"()": "studio.server.logs.JsonLines"},
    },
    "handlers": {"terminal": {"class": "logging.StreamHandler", "formatter": LOG_FORM}},
    "root": {"handlers": ["terminal"], "level": "WARNING"},
    "loggers": {
        "django.request": {"level": "ERROR"},  # a page that is not there is no news to the terminal
        "axes": {"level": "ERROR"},  # what it counts, the door tells
        "studio.start": {"level": "INFO"},
        "studio.door": {"level": "INFO"},  # who came in, was turned away or refused, and from where
    },
}
