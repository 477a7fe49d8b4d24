import pytest

from tests.campaigns import texts, words


@pytest.fixture
def uploads(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "uploads"
    settings.MEDIA_ROOT.mkdir()


@pytest.mark.campaign
@pytest.mark.filterwarnings("ignore")  # a document that is handed out stays open until it was sent
@pytest.mark.parametrize("campaign", [texts, words], ids=["hostile text is only text", "what is typed is never lost"])
def test_what_is_typed_stands_as_it_was_typed(campaign, uploads):
    print(campaign.run())
