"""What settings take from the rooms: folders of templates and static files, background services."""

from pathlib import Path

from sites.project.environment import CHECKOUT

# What runs in the background, by the names under which runs are stored: code may move, rows stay.
BACKGROUND_SERVICES = {
    "rebuild water": "sites.water.services.ledger.rebuild_in_background",
    "keep summaries": "reports.summaries.services.summaries.keep_in_background",
    "look at upload": "faults.load.services.uploads.preview_upload",
    "load upload": "faults.load.services.uploads.load_upload",
    "take back upload": "faults.load.services.uploads.take_back_upload",
    "suggest a rota": "faults.rota.services.suggesting.suggest_in_background",
    "write a report": "reports.issued.services.drafting.write_in_background",
    "issue a report": "reports.issued.services.issuing.issue_in_background",
    "return first": "reports.returning.services.choosing.choose_in_background",
    "renew first": "reports.decisions.services.choosing.choose_in_background",
    "when all are back": "reports.ahead.services.working_out.work_out_in_background",
    "how long it lasts": "reports.lasting.services.working_out.work_out_in_background",
}


def in_each_room(folder: str) -> list[Path]:
    """Return the folders of this name in the rooms of all apps, those of the highest app first."""
    apps = ("reports", "faults", "sites")
    return [found for app in apps for found in sorted((CHECKOUT / app).glob(f"*/{folder}"))]
