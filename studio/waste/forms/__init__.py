from studio.waste.forms.base import WasteForm, reason_field

__all__ = ["WasteForm", "reason_field"]
