"""The catalogue of translations holds every text of ours, as GNU gettext finds them."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
PO = Path("sites/locale/es/LC_MESSAGES/django.po")

pytestmark = pytest.mark.service


def texts(po: Path) -> set[str]:
    """Return the English texts of a catalogue."""
    found = re.findall(r'^msgid ((?:".*"\n)+)', po.read_text(encoding="utf-8"), re.MULTILINE)
    return {"".join(re.findall(r'"(.*)"', lines)) for lines in found}


def test_holds_each_text_that_the_code_says(xgettext: str, tmp_path: Path) -> None:
    for name in ("sites", "faults", "reports", "manage.py"):
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, tmp_path / name)
    command = [sys.executable, "manage.py", "makemessages", "-l", "es", "--no-obsolete"]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "sites.project.settings"}
    done = subprocess.run(
        command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert texts(tmp_path / PO) - texts(ROOT / PO) == set()


def test_each_translation_names_the_values_that_its_text_names(xgettext: str) -> None:
    command = [str(Path(xgettext).with_name("msgfmt")), "--check-format", "-o", os.devnull, str(PO)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
