from axes.attempts import get_cool_off_threshold
from axes.handlers.database import AxesDatabaseHandler
from axes.models import AccessAttempt
from django.db.models import Sum

LOOSER = 10


class Throttle(AxesDatabaseHandler):
    """
    Counts wrong tries by name and address together and, ten times looser, by address alone.

    So a whole studio behind one address can mistype, while whoever guesses at many names from one address is slowed.
    """

    def get_failures(self, request, credentials=None):
        tried = AccessAttempt.objects.filter(
            ip_address=request.axes_ip_address, attempt_time__gte=get_cool_off_threshold(request)
        )
        of_address = tried.aggregate(failures=Sum("failures_since_start", default=0))["failures"]
        return max(super().get_failures(request, credentials), of_address // LOOSER)
