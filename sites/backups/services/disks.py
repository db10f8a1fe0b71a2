"""How much room the disks have on which something is kept."""

import shutil
from pathlib import Path


def nearest_there(folder: Path) -> Path:
    """Return the folder, or the nearest one above it that exists."""
    return folder if folder.exists() else nearest_there(folder.parent)


def free_bytes(folder: Path) -> int:
    """Return how many bytes this process may still write where the folder is, or will be."""
    return shutil.disk_usage(nearest_there(folder)).free
