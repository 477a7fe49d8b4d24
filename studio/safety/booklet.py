"""The booklet for the shelf: the wall sheet and a summary of everything that stands here, in one paper."""

from inventory.models import Container
from studio.baths.status import status_of_baths
from studio.safety import overview, summaries
from studio.safety.summaries import Summary
from studio.waste import content
from studio.workshop.models import Workshop


def summaries_of_everything(workshop: Workshop) -> list[Summary]:
    """Baths, drums, and the materials of which something stands here, each by name."""
    standing_here = Container.objects.at_hand().values("material")
    materials = list(overview.asked_about().filter(pk__in=standing_here))
    held = content.contents_here()
    return [
        *summaries.summaries_of_baths(status_of_baths(), workshop),
        *(summaries.summary_of_drum(each, workshop) for each in held),
        *summaries.summaries_of_materials(materials, workshop),
    ]
