"""What a supplier's sheet says of a material, copied by a keyholder."""

from functools import partial

from django.shortcuts import get_object_or_404

from chemistry.hazards.regimes import regime_of
from inventory.models import Material
from studio.hazards import classification
from studio.hazards.models import SupplierClasses
from studio.pages.writing import write
from studio.people.roles import keyholder_required
from studio.safety import operations
from studio.safety.forms import ClassesForm


@keyholder_required
def copy_classes(request, pk):
    material = get_object_or_404(Material, pk=pk)
    said = SupplierClasses.objects.latest_of([material]).get(pk)
    form = ClassesForm(request.POST or None, request=request, initial=ClassesForm.figures_of(said))
    computed = classification.classify_composition(material, regime_of(request.workshop.region))
    context = {"material": material, "said": said, "computed": computed}
    act = partial(operations.copy_classes, material)
    return write(request, form, act, to="safety:list", template="safety/classes.html", context=context)
