"""Reading: the only package that touches the IFC library."""
