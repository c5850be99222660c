"""Writers: one module per format."""
