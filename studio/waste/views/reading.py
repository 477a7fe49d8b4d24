"""Reading the drums: all of them, and one."""

from django.shortcuts import redirect

from chemistry import waste
from inventory.facts import history as fact_history
from studio.drawing import qr
from studio.pages.views import ReadView
from studio.waste import content, whereabouts
from studio.waste.descriptions import DrumDescription
from studio.waste.flags import flags_of_drum
from studio.waste.models import Drum
from studio.workshop.models import Workshop

MOST_DEPOSITS = 60  # on its page; all of them stand in the waste log
US = Workshop.Region.US  # where a label carries words of its own once the waste counts as hazardous


class DrumsView(ReadView):
    """The drums that are here."""

    def get_part_data(self):
        return {
            "drums": list(map(DrumDescription, content.contents_here())),
            "is_keyholder": self.request.is_keyholder,
        }


class DrumView(ReadView):
    """What is in a drum and what was done to it; a struck one leads to why it was."""

    queryset = whereabouts.with_record(Drum.objects.select_related("entry__done_by", "place"))

    def instead(self):
        if self.object.entry.is_struck:
            return redirect(self.object.entry)

    def get_part_data(self):
        drum, workshop = self.object, self.request.workshop
        now, record = content.content_of_drum(drum), whereabouts.record_of(drum)
        shown = {
            "drum": drum,
            "described": DrumDescription(now),
            "latest": now.deposits[: -MOST_DEPOSITS - 1 : -1],
            "earlier": max(len(now.deposits) - MOST_DEPOSITS, 0),
            "caution": qr.caution(self.request),
            "is_us": workshop.region == US and not workshop.is_household,
            "record": record,
            "refusals": drum.refusals.standing().select_related("entry").order_by("entry__happened_at", "pk"),
            "is_keyholder": self.request.is_keyholder,
            "fact_history": fact_history(drum),
        }
        # of what has left nothing is judged any more: it stays as it was handed over
        if record:
            return shown
        return shown | {
            "flags": flags_of_drum(now, workshop),
            "is_empty": not now.deposits,
            "footer": waste.FOOTER,
            "suggested": waste.SUGGESTED,
            "region": workshop.get_region_display(),
        }
