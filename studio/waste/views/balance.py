"""Where the studio's copper went over some days, the drums among it."""

from django.utils import timezone
from django.utils.functional import cached_property

from studio.cathodes.accounts import CopperStatement
from studio.cathodes.balance import account_of
from studio.cathodes.forms import PeriodForm
from studio.pages.views import ReadView
from studio.waste import in_drums


class BalanceView(ReadView):
    part_name = "cathodes/_balance.html"

    @cached_property
    def form(self) -> PeriodForm:
        return PeriodForm(self.request.GET, now=timezone.now())

    def get_context_data(self):
        return {"form": self.form, "period": self.form.period()}

    def get_part_data(self):
        period = self.form.period()
        return {"statement": CopperStatement(account_of(period, in_drums.copper_in_drums(period.until)))}
