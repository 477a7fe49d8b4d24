"""What a supplier's sheet says of a material, copied by a keyholder."""

from chemistry.hazards.regimes import regime_of
from inventory.models import Material
from studio.hazards import classification
from studio.hazards.models import SupplierClasses
from studio.pages.views import EntryView
from studio.safety import operations
from studio.safety.forms import ClassesForm


class CopyClassesView(EntryView):
    form_class, success_url = ClassesForm, "safety:list"
    operation = staticmethod(operations.copy_classes)
    queryset = Material.objects.all()
    keyholder_only = True

    def said(self) -> SupplierClasses | None:
        return SupplierClasses.latest_of([self.object]).get(self.object.pk)

    def get_initial(self):
        return ClassesForm.figures_of(self.said())

    def get_context_data(self):
        computed = classification.classify_composition(self.object, regime_of(self.request.workshop.region))
        return super().get_context_data() | {"said": self.said(), "computed": computed}
