import pytest

from tests.campaigns import texts


@pytest.mark.campaign
@pytest.mark.filterwarnings("ignore")  # a document that is handed out stays open until it was sent
def test_hostile_text_is_found_only_as_text(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "uploads"
    settings.MEDIA_ROOT.mkdir()

    print(texts.run())
