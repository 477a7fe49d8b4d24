"""Solutions of copper sulfate in water: density, strength, solubility, drying."""
