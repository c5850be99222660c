"""Sample houses in an invented scenario, and the generator that writes them."""
