"""Two revisions of one house: what belongs to what, what changed, and what that did to the findings."""
