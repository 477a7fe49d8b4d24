import os
import stat
import subprocess
import sys

import pytest
from django.conf import settings
from django.contrib.auth import authenticate, get_user_model
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.signals import user_logged_in
from django.core.exceptions import ImproperlyConfigured

from studio.people.sessions import SessionStore
from studio.server import secret_key


def run(data, *command, **environ) -> str:
    """What this Python says in a process of its own, with nothing of this one's settings."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("MORDANT_", "DJANGO_"))}
    clean |= {"MORDANT_NO_BOOTSTRAP": "1", "MORDANT_DATA": str(data), **environ}
    ran = subprocess.run(
        [sys.executable, *command],
        cwd=settings.ROOT,
        env=clean,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return ran.stdout


def setting(data, *names, **environ) -> str:
    shown = ", ".join(f"settings.{name}" for name in names)
    return run(data, "-c", f"from studio import settings; print({shown})", **environ).strip()


def test_behind_https_nothing_is_left_to_warn_about(tmp_path):
    said = run(
        tmp_path, "manage.py", "check", "--deploy", "--fail-level=WARNING", MORDANT_URL="https://book.example.org"
    )

    assert said == "System check identified no issues (2 silenced).\n"


def test_on_a_plain_home_network_cookies_still_work(tmp_path):
    assert setting(tmp_path, "SESSION_COOKIE_SECURE", MORDANT_URL="http://192.168.1.5:8000") == "False"


def test_behind_https_its_proxy_is_believed_about_who_asks(tmp_path):
    assert setting(tmp_path, "PROXIES", MORDANT_URL="https://book.example.org") == "1"
    assert setting(tmp_path, "PROXIES") == "0"


def test_an_address_without_its_scheme_is_refused_in_words(tmp_path):
    said = run(tmp_path, "manage.py", "check", MORDANT_URL="book.example.org")

    assert said.splitlines()[-1].endswith("MORDANT_URL must begin with http:// or https://")


def test_below_a_path_cookies_stay_there_under_a_name_of_their_own(tmp_path):
    names = ("SESSION_COOKIE_NAME", "SESSION_COOKIE_PATH", "CSRF_COOKIE_PATH")

    below = setting(tmp_path, *names, MORDANT_URL="https://book.example.org/mordant/")
    alone = setting(tmp_path, *names, MORDANT_URL="https://book.example.org/")

    assert below == "__Secure-mordant-mordant_session /mordant/ /mordant/"
    assert alone == "__Host-mordant_session / /"


@pytest.mark.parametrize(("asked", "shared"), [("1", "True"), ("0", "False"), ("", "False")])
def test_sharing_is_asked_for_and_unasked_for(tmp_path, asked, shared):
    assert setting(tmp_path, "SHARED", MORDANT_SHARE=asked) == shared


def test_without_being_asked_it_is_neither_talkative_nor_open(tmp_path):
    assert setting(tmp_path, "DEBUG", "SHARED") == "False False"


def test_the_book_is_kept_in_the_user_s_own_data_folder(tmp_path):
    data = setting("", "DATA", HOME=str(tmp_path), XDG_DATA_HOME=str(tmp_path / "share"))

    assert data.startswith(str(tmp_path))
    assert data.endswith("mordant")


def test_a_shared_book_answers_to_this_machine_s_names(tmp_path):
    hosts = setting(tmp_path, "ALLOWED_HOSTS", MORDANT_SHARE="1", MORDANT_HOSTS="press.example, well.example")

    assert ".local'" in hosts
    assert "'press.example', 'well.example'" in hosts
    assert "*" not in hosts


def test_the_secret_key_is_made_once_for_its_owner_alone(tmp_path):
    path = tmp_path / "secret_key"

    made = secret_key.read_or_make(path)

    assert secret_key.read_or_make(path) == made
    assert len(made) >= 50
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert list(tmp_path.iterdir()) == [path]


def test_of_two_first_starts_at_once_both_take_the_first_key(tmp_path, monkeypatch):
    path = tmp_path / "secret_key"
    first = secret_key.read_or_make(path)
    monkeypatch.setattr(type(path), "exists", lambda self: False)  # the second had looked a moment earlier

    assert secret_key.read_or_make(path) == first


def test_nodes_share_a_key_that_they_are_told_or_that_a_file_holds(tmp_path):
    key, file = "k" * 50, tmp_path / "key"
    file.write_text(f"{key}\n")

    assert secret_key.chosen(key, tmp_path / "made") == secret_key.chosen(str(file), tmp_path / "made") == key
    assert not (tmp_path / "made").exists()


@pytest.mark.parametrize(("said", "told"), [("short", "50 letters"), ("/nowhere/key", "cannot be read")])
def test_a_key_that_cannot_be_used_is_refused_in_words(tmp_path, said, told):
    with pytest.raises(ImproperlyConfigured, match=told):
        secret_key.chosen(said, tmp_path / "made")


@pytest.mark.parametrize(
    ("environ", "cache"),
    [
        ({"DATABASE_URL": ""}, "filebased"),
        ({"DATABASE_URL": "postgres://db.example/book"}, "AsideCache"),
        ({"DATABASE_URL": "postgres://db.example/book", "MORDANT_CACHE": "redis://cache.example/1"}, "RedisCache"),
    ],
)
def test_what_nodes_share_lies_where_all_of_them_find_it(tmp_path, environ, cache):
    assert cache in setting(tmp_path, 'CACHES["shared"]["BACKEND"]', **environ)


def test_passwords_cost_19_mib_to_guess(settings):
    settings.PASSWORD_HASHERS = ["studio.people.backend.SmallMachineArgon2"]

    kept = make_password("a drypoint needle")

    assert kept.startswith("argon2$argon2id$v=19$m=19456,t=2,p=1$")
    assert check_password("a drypoint needle", kept)


POLICY = {
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "connect-src 'self'",
    "font-src 'self'",
    "img-src 'self' data:",
    "manifest-src 'self'",
    "worker-src 'self'",
    "form-action 'self'",
    "base-uri 'none'",
    "object-src 'none'",
    "frame-ancestors 'none'",
}


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/first-aid/", "/there-is-no-such-page/"])
def test_every_answer_forbids_inline_scripts_and_styles(client, path):
    answer = client.get(path)

    assert set(answer.headers["Content-Security-Policy"].split("; ")) == POLICY


@pytest.fixture
def maren(db):
    """An account whose password is known to the tests."""
    return get_user_model().objects.create_user("maren", password="tallow")


def _try(rf, password, username="maren", **headers):
    return authenticate(rf.post("/people/sign-in/", headers=headers), username=username, password=password)


def test_the_sixth_guess_in_a_quarter_of_an_hour_is_not_even_looked_at(maren, rf):
    for _ in range(5):
        _try(rf, "wrong")

    assert _try(rf, "tallow") is None


def test_one_bad_typist_does_not_lock_out_the_next_person(maren, rf):
    for _ in range(5):
        _try(rf, "wrong", username="joost")

    assert _try(rf, "tallow") == maren


def test_a_forged_forwarding_header_does_not_give_more_guesses(maren, rf):
    for guess in range(5):
        _try(rf, "wrong", x_forwarded_for=f"203.0.113.{guess}")

    assert _try(rf, "tallow", x_forwarded_for="203.0.113.99") is None


def test_signing_in_clears_the_mistakes_before_it(maren, rf):
    for _ in range(4):
        _try(rf, "wrong")
    request = rf.get("/")
    request.session = SessionStore()
    user_logged_in.send(type(maren), request=request, user=maren)

    _try(rf, "wrong")

    assert _try(rf, "tallow") == maren
