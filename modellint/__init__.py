"""modellint: reads an IFC house model and reports where its load path and its soil-gas vent break."""

__version__ = "0.1.0"
