"""The statistics of the review, one family of methods a module; no session, disk or clock."""
