"""The pages of loading, from the files to what was loaded."""

from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from sites.kernel.engines.roles import Role
from sites.models import Run, Station, Upload, User
from sites.runs import services as runs
from tests import make

pytestmark = pytest.mark.django_db

LIST = "property,client,controller,station,timer since\nElm,Elm Trust,A,1,2025-02-01\n"


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Any) -> None:
    """Runs start at once, in this thread; files go to a folder of the test."""
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr(runs, "_set_off", runs.execute_run)


@pytest.fixture
def loader() -> User:
    return make.user(Role.DISPATCHER)


def browser(user: User) -> Client:
    made = Client()
    made.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return made


def bring(user: User, run: Any, text: str = LIST, **more: str) -> Upload:
    """Bring files, with everything that waits for the commit done."""
    files = [SimpleUploadedFile("our list.csv", text.encode())]
    files += [SimpleUploadedFile(f"{name}.csv", each.encode()) for name, each in more.items()]
    with run(execute=True):
        response = browser(user).post(reverse("faults:load"), {"brought": files})
    upload = Upload.objects.latest("pk")
    assert response.headers["Location"] == page(upload)
    return upload


def page(upload: Upload, name: str = "load_upload") -> str:
    return reverse(f"faults:{name}", args=[upload.ref])


def send(user: User, run: Any, upload: Upload, name: str, **data: str) -> Any:
    asked = browser(user)
    with run(execute=True):
        response = asked.post(page(upload, name), data)
    return asked.get(response.headers["Location"])


def test_files_are_looked_at_and_then_loaded(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks)
    shown = browser(loader).get(page(upload)).content.decode()
    assert "Ready to load" in shown
    assert not Station.objects.exists()
    digest = upload.preview_run.result["digest"] if upload.preview_run else ""
    response = send(
        loader, django_capture_on_commit_callbacks, upload, "load_confirm", digest=digest
    )
    assert "What was written" in response.content.decode()
    assert Station.objects.count() == 1
    assert Station.history.get().history_user == loader
    assert not upload.file.storage.exists(upload.file.name)


def test_several_files_are_one_load(loader: User, django_capture_on_commit_callbacks: Any) -> None:
    stations = "property code,controller,station number\nElm,A,7\n"
    upload = bring(loader, django_capture_on_commit_callbacks, stations=stations)
    result: Any = upload.preview_run and upload.preview_run.result
    assert [each["name"] for each in result["sheets"]] == ["our list", "stations"]


def test_another_preview_than_the_one_seen_is_not_loaded(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks)
    response = send(loader, django_capture_on_commit_callbacks, upload, "load_confirm", digest="x")
    assert "not the preview that you saw" in response.content.decode()
    assert not Station.objects.exists()


def test_problems_are_shown_with_their_cells_and_no_button_to_load(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    text = LIST.replace("A,1", "A,one")
    upload = bring(loader, django_capture_on_commit_callbacks, text)
    shown = browser(loader).get(page(upload)).content.decode()
    assert "One problem to mend first" in shown
    assert "D station" in shown
    assert "Load this" not in shown
    assert page(upload, "load_to_mend") in shown
    book = browser(loader).get(page(upload, "load_to_mend"))
    assert book.headers["Content-Disposition"] == 'attachment; filename="our list to mend.xlsx"'
    assert load_workbook(BytesIO(book.content))["our list"]["D2"].comment
    # What stands below a heading helps to say what it is.
    assert "2025-02-01" in browser(loader).get(page(upload, "load_match")).content.decode()


def test_a_question_is_answered_on_the_page_of_the_match(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(
        loader, django_capture_on_commit_callbacks, LIST.replace("2025-02-01", "03/04/2025")
    )
    shown = browser(loader).get(page(upload, "load_match")).content.decode()
    assert "03/04/2025" in shown
    answers = match_of(upload) | {"day_order": "mdy"}
    response = send(loader, django_capture_on_commit_callbacks, upload, "load_match", **answers)
    assert "Ready to load" in response.content.decode()


def match_of(upload: Upload) -> dict[str, str]:
    """The form of the match as it was shown."""
    result: Any = upload.preview_run and upload.preview_run.result
    data = {}
    for index, each in enumerate(result["sheets"]):
        data[f"sheet-{index}"] = each["kind"]
        for column in each["columns"]:
            data[f"column-{index}-{column['letter']}"] = column["field"]
    return data


def test_a_column_is_given_another_meaning(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks)
    answers = match_of(upload) | {"column-0-E": "notes"}
    send(loader, django_capture_on_commit_callbacks, upload, "load_match", **answers)
    upload.refresh_from_db()
    assert upload.answers["columns"] == {"our list": {"E": "notes"}}
    result: Any = upload.preview_run and upload.preview_run.result
    assert [each["field"] for each in result["sheets"][0]["columns"]][-1] == "notes"


def test_a_file_that_is_none_is_refused_in_words(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks, "%PDF-1.7 and more")
    assert "not a spreadsheet" in browser(loader).get(page(upload)).content.decode()


def test_giving_up_forgets_the_files(loader: User, django_capture_on_commit_callbacks: Any) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks)
    send(loader, django_capture_on_commit_callbacks, upload, "load_give_up")
    assert not Upload.objects.exists()
    assert not upload.file.storage.exists(upload.file.name)


def test_progress_is_a_fragment_while_it_works_and_then_the_page_comes_anew(
    loader: User, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    monkeypatch.setattr(runs, "_set_off", lambda run_id: None)
    upload = bring(loader, django_capture_on_commit_callbacks)
    assert "Show where it is" in browser(loader).get(page(upload)).content.decode()
    fragment = browser(loader).get(page(upload, "load_progress")).content.decode()
    assert 'hx-trigger="every 1s"' in fragment
    assert "<html" not in fragment
    Run.objects.update(state="done", result={"sheets": [], "digest": "", "can_load": False})
    assert browser(loader).get(page(upload, "load_progress")).headers["HX-Refresh"] == "true"


def test_a_run_that_waits_can_be_stopped(
    loader: User, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    monkeypatch.setattr(runs, "_set_off", lambda run_id: None)
    upload = bring(loader, django_capture_on_commit_callbacks)
    response = send(loader, django_capture_on_commit_callbacks, upload, "load_cancel")
    assert "Stopped. Nothing was loaded." in response.content.decode()


def test_an_upload_is_seen_by_who_brought_it_and_by_an_owner(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks)
    others = {role: make.user(role) for role in (Role.OWNER, Role.DISPATCHER, Role.TECHNICIAN)}
    statuses = {role: browser(user).get(page(upload)).status_code for role, user in others.items()}
    assert statuses == {Role.OWNER: 200, Role.DISPATCHER: 404, Role.TECHNICIAN: 403}


def test_no_file_is_an_error_on_the_form(loader: User) -> None:
    response = browser(loader).post(reverse("faults:load"), {})
    assert response.status_code == 422
    assert "Choose at least one file." in response.content.decode()


def test_files_brought_while_redis_is_down_are_kept_and_wait(
    loader: User,
    settings: Any,
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: Any,
) -> None:
    monkeypatch.undo()
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": settings.REDIS_URL,
        }
    }
    upload = bring(loader, django_capture_on_commit_callbacks)
    Run.objects.update(asked_at=timezone.now() - timedelta(seconds=61))
    shown = browser(loader).get(page(upload))
    assert shown.status_code == 200
    assert "does not answer yet" in shown.content.decode()


def test_a_load_whose_worker_died_can_be_stopped_and_looked_at_again(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    run = django_capture_on_commit_callbacks
    upload = bring(loader, run)
    digest = upload.preview_run.result["digest"] if upload.preview_run else ""
    with run():
        browser(loader).post(page(upload, "load_confirm"), {"digest": digest})
    long_ago = timezone.now() - timedelta(hours=1)
    Run.objects.filter(state="waiting").update(state="running", started_at=long_ago)
    Run.objects.update(asked_at=long_ago)
    cache.clear()
    assert "went silent" in browser(loader).get(page(upload)).content.decode()
    shown = send(loader, run, upload, "load_cancel")
    assert "The load did not finish." in shown.content.decode()
    assert "Ready to load" in send(loader, run, upload, "load_again").content.decode()


def test_looking_again_twice_starts_one_run(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    run = django_capture_on_commit_callbacks
    upload = bring(loader, run)
    with run():
        for _ in range(2):
            browser(loader).post(page(upload, "load_again"))
    assert Run.objects.filter(state="waiting").count() == 1


def test_confirming_twice_starts_one_run(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    run = django_capture_on_commit_callbacks
    upload = bring(loader, run)
    digest = upload.preview_run.result["digest"] if upload.preview_run else ""
    with run():
        for _ in range(2):
            browser(loader).post(page(upload, "load_confirm"), {"digest": digest})
    assert Run.objects.filter(state="waiting").count() == 1
