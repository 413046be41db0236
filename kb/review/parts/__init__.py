"""The parts of a review, a theme a module; no session, disk or clock."""
