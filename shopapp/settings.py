"""Settings of the refit desk, read from the environment (listed in README.md)."""

import os
import sys
import tempfile
from pathlib import Path

from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured
from kombu import Queue

from shopapp import env

BASE_DIR = Path(__file__).resolve().parent.parent
TESTING = "pytest" in sys.modules

MODE = env.text("DESK_MODE", "development")
if MODE not in {"development", "production"}:
    raise ImproperlyConfigured("DESK_MODE must be development or production")
PRODUCTION = MODE == "production"
DEBUG = env.flag("DESK_DEBUG", default=False)

DATA_DIR = Path(env.text("DESK_DATA_DIR", str(BASE_DIR / "var"))).resolve()
DATA_DIR.mkdir(parents=True, exist_ok=True)
SECRET_KEY = env.secret("DESK_SECRET_KEY", data_dir=DATA_DIR, production=PRODUCTION)
ALLOWED_HOSTS = env.words("DESK_ALLOWED_HOSTS", "" if PRODUCTION else "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = env.words("DESK_TRUSTED_ORIGINS")
PAPER = env.text("DESK_PAPER", "letter").lower()
if PAPER not in {"letter", "a4"}:
    raise ImproperlyConfigured("DESK_PAPER must be letter or a4")
SITE_ADDRESS = env.text("DESK_SITE_ADDRESS", "http://127.0.0.1:8000").rstrip("/")

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_htmx",
    "simple_history",
    "axes",
    "csp",
    "rest_framework",
    "shopapp.ui",
    "shopapp.work",
    "shopapp.accounts",
    "shopapp.customers",
    "shopapp.catalog",
    "shopapp.boats",
    "shopapp.stock",
    "planner",
    "shopapp.jobs",
    "shopapp.fleet",
    "shopapp.tablet",
    "shopapp.insights",
    "shopapp.api",
    "shopapp.demo",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "shopapp.middleware.TextGzipMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shopapp.accounts.middleware.SignInMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "shopapp.middleware.ShopErrorMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shopapp.urls"
WSGI_APPLICATION = "shopapp.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shopapp.ui.context.shop",
            ],
            "builtins": ["shopapp.ui.templatetags.ui"],
        },
    },
]

DATABASES = {"default": env.database("DESK_DATABASE_URL", data_dir=DATA_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "accounts:sign_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "accounts:sign_in"

AXES_FAILURE_LIMIT = env.whole("DESK_LOGIN_TRIES", 6, low=1)
AXES_COOLOFF_TIME = env.whole("DESK_LOGIN_PAUSE_HOURS", 1, low=1)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "accounts/locked.html"
AXES_HTTP_RESPONSE_CODE = 429
AXES_RESET_ON_SUCCESS = True
AXES_IPWARE_PROXY_COUNT = env.whole("DESK_PROXY_COUNT", 0)
AXES_VERBOSE = False

LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_I18N = False
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "whitenoise.storage.CompressedManifestStaticFilesStorage"
            if PRODUCTION
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        )
    },
}
WHITENOISE_USE_FINDERS = not PRODUCTION
MEDIA_ROOT = DATA_DIR / "media"
# Uploads are handed out by views that ask for the role; there is no open media address.
MEDIA_URL = ""
UPLOAD_LIMIT_BYTES = env.whole("DESK_UPLOAD_LIMIT_MB", 12, low=1) * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

EMAIL_BACKEND = env.text("DESK_EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend")
EMAIL_HOST = env.text("DESK_EMAIL_HOST", "localhost")
EMAIL_PORT = env.whole("DESK_EMAIL_PORT", 25, low=1)
EMAIL_HOST_USER = env.text("DESK_EMAIL_USER")
EMAIL_HOST_PASSWORD = env.text("DESK_EMAIL_PASSWORD")
EMAIL_USE_TLS = env.flag("DESK_EMAIL_TLS", default=False)
DEFAULT_FROM_EMAIL = env.text("DESK_EMAIL_FROM", "desk@localhost")

SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if PRODUCTION:
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = env.flag("DESK_FORCE_HTTPS", default=True)
    SECURE_HSTS_SECONDS = env.whole("DESK_HSTS_SECONDS", 31_536_000)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    if env.whole("DESK_PROXY_COUNT", 0):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    },
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["shopapp.accounts.permissions.RolePermission"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_PAGINATION_CLASS": "rest_framework.pagination.LimitOffsetPagination",
    "EXCEPTION_HANDLER": "shopapp.api.problems.handle",
    "PAGE_SIZE": 50,
}

# With a broker named, Celery is rung after each commit; without one the embedded worker looks.
BROKER_URL = env.text("DESK_BROKER_URL")
CELERY_BROKER_URL = BROKER_URL
# Batches ring in a queue of their own: a worker takes from both in turn, so none waits for 500.
CELERY_TASK_DEFAULT_QUEUE = env.text("DESK_QUEUE", "desk")
BULK_QUEUE = f"{CELERY_TASK_DEFAULT_QUEUE}-batches"
CELERY_TASK_QUEUES = [Queue(CELERY_TASK_DEFAULT_QUEUE), Queue(BULK_QUEUE)]
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_IGNORE_RESULT = True
CELERY_WORKER_MAX_TASKS_PER_CHILD = 100
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
WORK_LEASE_SECONDS = env.whole("DESK_WORK_LEASE_SECONDS", 60, low=5)
WORK_LONGEST_SECONDS = env.whole("DESK_WORK_LONGEST_SECONDS", 1800, low=5)
WORK_MAX_TRIES = env.whole("DESK_WORK_TRIES", 5, low=1)

SILENCED_SYSTEM_CHECKS: list[str] = []
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": env.text("DESK_LOG_LEVEL", "WARNING")},
}

if TESTING:
    if "sqlite3" in str(DATABASES["default"]["ENGINE"]):
        # A file, as in service: threads of one database in memory lock each other out.
        test_file = Path(tempfile.gettempdir()) / f"desk-test-{os.getpid()}.sqlite3"
        DATABASES["default"]["TEST"] = {"NAME": str(test_file)}
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
