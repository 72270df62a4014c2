"""A condition report as a PDF, from its record and the photos on this laptop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.condition.report import photos_of
from siteapp.documents.condition.pdf import condition_pdf
from siteapp.store.images import PhotoError

if TYPE_CHECKING:
    from siteapp.documents.condition.records import ConditionRecord
    from siteapp.store.photos import PhotoFolder

PHOTO_PX = 1280


def report_file(record: ConditionRecord, photos: PhotoFolder, paper: str) -> bytes:
    """The report on `paper` (`A4`, `Letter`). Reads no database. A photo that is not here, or is damaged, is named."""
    small = {sha: data for sha in photos_of(record) if (data := _small(photos, sha)) is not None}
    return condition_pdf(record, small, paper=paper)


def _small(photos: PhotoFolder, sha: str) -> bytes | None:
    try:
        return photos.derivative(sha, PHOTO_PX)
    except (PhotoError, OSError):
        return None
