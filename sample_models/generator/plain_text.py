"""Property names and texts of the manner `plain`: units in the name or in the value."""

from __future__ import annotations

from typing import Any


def inches(metres: float) -> str:
    """A length in inches as text, up to three decimals."""
    return f"{metres / 0.0254:.3f}".rstrip("0").rstrip(".")


def feet_inches(metres: float) -> str:
    """A length in feet and inches as text."""
    whole, rest = divmod(round(metres / 0.0254, 3), 12)
    return f"{int(whole)} ft {rest:g} in"


TEXT: dict[str, tuple[str, str, Any]] = {
    "sheathing_thickness": ("Shear Wall Data", "Sheathing thk", lambda m: f"{inches(m.value)} in OSB"),
    "edge_nail_spacing": ("Shear Wall Data", "Edge nailing", lambda m: f"{inches(m.value)} in o.c."),
    "field_nail_spacing": ("Shear Wall Data", "Field nailing", lambda m: f"{inches(m.value)} in o.c."),
    "nail_diameter": ("Shear Wall Data", "Nail dia (in)", lambda m: inches(m.value)),
    "sheathed_sides": ("Shear Wall Data", "Sides sheathed", str),
    "exterior": ("General", "Exterior", lambda b: "Yes" if b else "No"),
    "rod_diameter": ("Hardware", "Rod dia (in)", lambda m: inches(m.value)),
    "bolt_diameter": ("Hardware", "Bolt dia (in)", lambda m: inches(m.value)),
    "embedment": ("Hardware", "Embedment", lambda m: f"{inches(m.value)} in"),
    "mark": ("Hardware", "Mark", str),
    "outside_diameter": ("Pipe Data", "OD (in)", lambda m: inches(m.value)),
    "inside_diameter": ("Pipe Data", "ID (in)", lambda m: inches(m.value)),
    "length": ("Pipe Data", "Cut length", lambda m: feet_inches(m.value)),
    "perforated": ("Pipe Data", "Perforated", lambda b: "Yes" if b else "No"),
    "operable": ("Opening Data", "Operable", lambda b: "Yes" if b else "No"),
    "thickness": ("Layer Data", "Thickness (in)", lambda m: inches(m.value)),
    "text": ("Label Data", "Wording", str),
    "pitch": ("Roof Data", "Pitch", str),
    "gradient": ("Pipe Data", "Slope", str),
    "slab_seal": ("Pipe Data", "Slab seal", lambda b: "Yes" if b else "No"),
    "membrane_seal": ("Pipe Data", "Membrane seal", lambda b: "Yes" if b else "No"),
    "lid_seal": ("Pit Data", "Lid sealed", lambda b: "Yes" if b else "No"),
    "air_trap": ("Pipe Data", "Air trap", lambda b: "Yes" if b else "No"),
    "property_line_distance": ("Pipe Data", "To property line", lambda m: feet_inches(m.value)),
    "ply_fastening": ("Framing Data", "Plies nailed", str),
    "adjoining_dwelling": ("General", "Adjoining dwelling", lambda b: "Yes" if b else "No"),
    "fire_rating": ("General", "Fire rating", str),
    "firestop": ("Pipe Data", "Firestop", lambda b: "Yes" if b else "No"),
    "insulated": ("Pipe Data", "Insulated", lambda b: "Yes" if b else "No"),
    "cut_approved": ("Pipe Data", "Hole approved", lambda b: "Yes" if b else "No"),
    "screen_mesh": ("Pipe Data", "Screen mesh (in)", lambda m: inches(m.value)),
}
