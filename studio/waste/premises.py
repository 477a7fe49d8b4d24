"""What the rules ask of the studio itself, whatever is in its drums."""

from studio.workshop.models import Workshop


def properties_of_studio(workshop: Workshop) -> dict[str, object]:
    """In the words of chemistry's vocabulary; None is not known."""
    acute_kg = 0 if workshop.acute_waste == Workshop.AcuteWaste.NONE else None
    return {
        # no state has an empty name; None says that nobody has named one
        "us_state": workshop.us_state or None,
        "is_household": workshop.is_household,
        "acute_month_kg": acute_kg,
        "acute_spill_month_kg": acute_kg,
    }
