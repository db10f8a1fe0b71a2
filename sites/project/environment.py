"""Read the environment strictly, so that a wrong value stops the start and says which."""

import secrets
from dataclasses import dataclass
from ipaddress import ip_network
from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured, ValidationError
from django.core.validators import validate_email
from environs import Env, EnvError

CHECKOUT = Path(__file__).resolve().parent.parent.parent
LOCAL_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
SHORTEST_SECRET = 50
SHORTEST_TOKEN = 32
MOST_PROXIES = 9


@dataclass(frozen=True)
class BackupSettings:
    """Where the nightly backup goes, the file of its key, and how many days and weeks stay."""

    folder: Path | None
    key_file: Path | None
    keep_days: int
    keep_weeks: int


@dataclass(frozen=True)
class CentralSettings:
    """Where central's lists are laid, and the user by whose rights they are read."""

    folder: Path | None
    user: str


@dataclass(frozen=True)
class ErrorMailSettings:
    """Who is mailed when something breaks, and where it is kept what was mailed lately."""

    to: list[str]
    folder: Path


@dataclass(frozen=True)
class Environment:
    """What the surroundings decide.

    `in_production` is true as soon as ALLOWED_HOSTS names a host: only then can anyone but
    this machine reach the pages.
    """

    in_production: bool
    demo: bool
    debug: bool
    secret_key: str
    allowed_hosts: list[str]
    site_url: str
    database: dict[str, object]
    redis_url: str
    trusted_proxies: int
    email: dict[str, object]
    media_root: Path
    state_folder: Path
    hook_networks: list[str]
    hooks_without_tls: bool
    backups: BackupSettings
    central: CentralSettings
    log_json: bool
    metrics_token: str
    error_mail: ErrorMailSettings | None


def read_environment() -> Environment:
    """Return the checked environment.

    Raises:
        ImproperlyConfigured: a value cannot be read, or is unsafe for a production start.
    """
    env = Env()
    try:
        return _read(env)
    except EnvError as error:
        raise ImproperlyConfigured(f"{error}. Correct this environment variable.") from error


def _read(env: Env) -> Environment:
    hosts: list[str] = env.list("ALLOWED_HOSTS", [])
    allowed_hosts = [host.strip() for host in hosts if host.strip()]
    in_production = bool(allowed_hosts)
    demo = env.bool("REJOIN_DEMO", False)
    state_folder = Path(env.str("REJOIN_STATE", str(CHECKOUT / ".rejoin")))
    secret_key = env.str("SECRET_KEY", "")
    debug = env.bool("DEBUG", False)
    if in_production:
        _refuse_unsafe(allowed_hosts, secret_key=secret_key, debug=debug, demo=demo)
    state_folder.mkdir(parents=True, exist_ok=True)
    return Environment(
        in_production=in_production,
        demo=demo,
        debug=debug,
        secret_key=secret_key or _local_secret(state_folder),
        allowed_hosts=allowed_hosts or LOCAL_HOSTS,
        site_url=_site_url(env, allowed_hosts),
        database=_database(env, state_folder, demo=demo),
        redis_url=env.str("REDIS_URL", ""),
        trusted_proxies=_trusted_proxies(env),
        email=_email(env),
        media_root=Path(env.str("MEDIA_ROOT", str(state_folder / "media"))),
        state_folder=state_folder,
        hook_networks=_networks(env),
        hooks_without_tls=env.bool("HOOKS_WITHOUT_TLS", False),
        backups=BackupSettings(
            folder=_whole_path(env, "BACKUP_FOLDER"),
            key_file=_whole_path(env, "BACKUP_KEY_FILE"),
            keep_days=_number(env, "BACKUP_KEEP_DAYS", 14, least=1, most=3660),
            keep_weeks=_number(env, "BACKUP_KEEP_WEEKS", 8, least=0, most=520),
        ),
        central=_central(env),
        log_json=env.bool("LOG_JSON", False),
        metrics_token=_token(env, "METRICS_TOKEN"),
        error_mail=_error_mail(env, state_folder, debug=debug),
    )


def _refuse_unsafe(hosts: list[str], *, secret_key: str, debug: bool, demo: bool) -> None:
    problems = []
    if "*" in hosts:
        problems.append("ALLOWED_HOSTS is '*': name the hosts that people type instead")
    if len(secret_key) < SHORTEST_SECRET or len(set(secret_key)) < 8:
        problems.append(f"SECRET_KEY is missing or weak: set {SHORTEST_SECRET} random characters")
    if debug:
        problems.append("DEBUG is on: it shows settings to strangers; unset it")
    if demo:
        problems.append(
            "the demo signs anybody in: it runs on this machine only; unset REJOIN_DEMO"
        )
    if problems:
        raise ImproperlyConfigured(
            "Rejoin will not start for other machines (ALLOWED_HOSTS is set):\n- "
            + "\n- ".join(problems)
        )


def _trusted_proxies(env: Env) -> int:
    count: int = env.int("TRUSTED_PROXIES", 0)
    if not 0 <= count <= MOST_PROXIES:
        raise ImproperlyConfigured(
            f"TRUSTED_PROXIES is {count}: write how many proxies of your own a request passes, "
            f"0 to {MOST_PROXIES}. Correct this environment variable."
        )
    return count


def _networks(env: Env) -> list[str]:
    """Networks of the own house that programs which are told may lie in."""
    given: list[str] = env.list("HOOKS_MAY_REACH", [])
    found = [each.strip() for each in given if each.strip()]
    for each in found:
        try:
            ip_network(each)
        except ValueError as error:
            raise ImproperlyConfigured(
                f"HOOKS_MAY_REACH names {each!r}: write networks as 10.1.0.0/16, with commas "
                "between them. Correct this environment variable."
            ) from error
    return found


def _whole_path(env: Env, name: str) -> Path | None:
    """A path that means the same wherever a process was started."""
    text = env.str(name, "")
    if not text:
        return None
    if not Path(text).is_absolute():
        raise ImproperlyConfigured(
            f"{name} is {text!r}: write the whole path, beginning with a stroke. "
            "Correct this environment variable."
        )
    return Path(text)


def _central(env: Env) -> CentralSettings:
    folder, user = _whole_path(env, "CENTRAL_FOLDER"), env.str("CENTRAL_FOLDER_USER", "")
    if (folder is None) != (not user):
        raise ImproperlyConfigured(
            "Set both CENTRAL_FOLDER and CENTRAL_FOLDER_USER, or neither: lists are taken in by "
            "the rights of that user. Correct these environment variables."
        )
    return CentralSettings(folder, user)


def _number(env: Env, name: str, default: int, *, least: int, most: int) -> int:
    number: int = env.int(name, default)
    if not least <= number <= most:
        raise ImproperlyConfigured(
            f"{name} is {number}: write a whole number from {least} to {most}. "
            "Correct this environment variable."
        )
    return number


def _error_mail(env: Env, folder: Path, *, debug: bool) -> ErrorMailSettings | None:
    """Nobody is mailed of what breaks under a developer's hands."""
    given: list[str] = env.list("ERROR_MAIL_TO", [])
    found = [each.strip() for each in given if each.strip()]
    for each in found:
        try:
            validate_email(each)
        except ValidationError as error:
            raise ImproperlyConfigured(
                f"ERROR_MAIL_TO names {each!r}: write mail addresses, with commas between them. "
                "Correct this environment variable."
            ) from error
    return ErrorMailSettings(found, folder) if found and not debug else None


def _token(env: Env, name: str) -> str:
    """What a program has to bring, or nothing where none may ask."""
    token: str = env.str(name, "")
    is_plain = token.isascii() and token.split() == [token]
    if token and not (is_plain and len(token) >= SHORTEST_TOKEN):
        raise ImproperlyConfigured(
            f"{name} will not do: set {SHORTEST_TOKEN} random plain characters or more, "
            "without spaces, or none. Correct this environment variable."
        )
    return token


def _site_url(env: Env, hosts: list[str]) -> str:
    """The first host that people type, unless SITE_URL says otherwise."""
    default = f"https://{hosts[0].lstrip('.')}" if hosts else "http://127.0.0.1:8000"
    url = env.str("SITE_URL", "") or default
    if not url.startswith(("http://", "https://")):
        raise ImproperlyConfigured(
            f"SITE_URL is {url!r}: write it as https://rejoin.example.org. "
            "Correct this environment variable."
        )
    return url.rstrip("/")


def _local_secret(folder: Path) -> str:
    """One secret per checkout, so that people stay signed in after a restart."""
    path = folder / "secret_key"
    if not path.exists():
        path.write_text(secrets.token_urlsafe(SHORTEST_SECRET))
        path.chmod(0o600)
    return path.read_text().strip()


def _email(env: Env) -> dict[str, object]:
    email: dict[str, object] = env.dj_email_url("EMAIL_URL", "console:")
    if "EMAIL_BACKEND" not in email:
        raise ImproperlyConfigured(
            "EMAIL_URL has a scheme that is not known: use smtp://, submission://, "
            "smtps://, console: or file:///folder. Correct this environment variable."
        )
    return email


def _database(env: Env, folder: Path, *, demo: bool) -> dict[str, object]:
    name = "demo.sqlite3" if demo else "rejoin.sqlite3"
    database: dict[str, Any] = env.dj_db_url("DATABASE_URL", f"sqlite:///{folder / name}")
    if database["ENGINE"].endswith("sqlite3"):
        # WAL lets readers go on while an import writes; IMMEDIATE makes a second writer wait
        # its turn instead of failing half-way.
        database["OPTIONS"] = {
            "init_command": (
                "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-64000;"
            ),
            "transaction_mode": "IMMEDIATE",
            "timeout": 30,
        }
    else:
        database["CONN_MAX_AGE"] = 60
        database["CONN_HEALTH_CHECKS"] = True
    return database
