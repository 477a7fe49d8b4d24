"""A short form of each campaign; `python -m tests.campaigns NAME --long` takes its time and prints its table."""

import os

import pytest

from tests.campaigns import archives, clock, damage, disk, kill, printing, read_only, restart, stalled, statements

ON_EITHER = [archives, kill, read_only, restart, statements]
ON_THE_FILE = [clock, damage, disk, printing, stalled]
URL = os.environ.get("DATABASE_URL", "")


@pytest.mark.campaign
@pytest.mark.filterwarnings("ignore")  # what is broken off on purpose leaves files open
@pytest.mark.parametrize("campaign", ON_EITHER if URL else ON_EITHER + ON_THE_FILE, ids=lambda each: each.__name__)
def test_the_book_stands(campaign, transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "uploads"
    settings.MEDIA_ROOT.mkdir()

    print(campaign.run(url=URL))
