"""Which role each address takes: one row a route, and a test that none is without.

What has no row is a lead's.
"""

from kb.records.kinds import Role

# Open to anybody on the network: the way in, and what a phone may leave without it.
_ANYBODY = (
    "GET /static",
    "GET /pair", "POST /pair",
    "GET /unknown", "POST /unknown", "GET /unknown/kept",
    "POST /screen", "GET /feed/{key}.ics",
)  # fmt: skip
_READER = (
    "GET /", "GET /find", "GET /scan", "POST /scan", "GET /screen",
    "GET /{code}", "GET /{code}/", "GET /{code}/history",
    "GET /{code}/label", "GET /{code}/label.pdf", "GET /{code}/speed",
    "GET /log", "POST /log", "GET /{code}/log", "POST /{code}/log",
    "GET /faults", "GET /faults/{number}", "GET /faults/{number}/version",
    "POST /faults/{number}/mistaken", "POST /faults/{number}/meant",
    "POST /faults/{number}/effect",
    "GET /faults/{number}/steps/{fix}/{step}", "GET /photos/{digest}",
    "GET /gear", "GET /gear/models", "GET /gear/models/{name:path}",
    "GET /places", "GET /places/{code}", "GET /links", "GET /links/{number}",
    "GET /shows", "GET /loans", "GET /services", "GET /spares",
    "GET /entries", "GET /entries/glossary", "GET /entries/glossary.md", "GET /entries/thin",
    "GET /entries/paper.pdf", "GET /entries/{slug}/paper.pdf", "GET /words",
    "GET /labels", "GET /labels.pdf", "GET /labels.png", "GET /{code}/label.png",
    "GET /entries/{slug}", "GET /entries/{slug}/revisions",
    "GET /entries/wanted", "POST /entries/wanted",
    "GET /review/{kind}", "GET /review/{kind}/paper.pdf", "GET /review/{kind}/{key}.svg",
    "GET /review/{kind}/{key}.csv",
    "GET /review", "GET /review/models.svg", "GET /health",
    "GET /api/openapi.json", "GET /api/find", "GET /api/items", "GET /api/items/{code}",
    "GET /api/faults", "POST /api/faults", "GET /api/faults/{number}",
    "GET /api/entries", "GET /api/entries/{slug}", "GET /api/review/models",
)  # fmt: skip
_TECH = (
    "POST /entries/wanted/answer",
    "GET /words/new", "POST /words/new",
    "GET /words/{number}/remove", "POST /words/{number}/remove",
    "GET /labels/ahead", "POST /labels/ahead", "GET /{code}/relabel", "POST /{code}/relabel",
    "POST /{code}/new", "POST /{code}/place",
    "GET /entries/new", "POST /entries/new",
    "GET /entries/{slug}/edit", "POST /entries/{slug}/edit", "GET /faults/{number}/draft",
    "GET /faults/{number}/correct", "POST /faults/{number}/correct",
    "GET /faults/{number}/attempts/{attempt}", "POST /faults/{number}/attempts/{attempt}",
    "POST /faults/{number}/try", "POST /faults/{number}/swap", "POST /faults/{number}/close",
    "POST /faults/{number}/cause", "POST /faults/{number}/reopen",
    "POST /faults/{number}/adopt",
    "POST /faults/{number}/photo", "POST /faults/{number}/photos/{digest}/down",
    "GET /gear/new", "POST /gear/new", "GET /gear/models/new", "POST /gear/models/new",
    "GET /gear/models/{name:path}/change", "POST /gear/models/{name:path}/change",
    "GET /places/new", "POST /places/new",
    "GET /places/{code}/change", "POST /places/{code}/change",
    "GET /places/{code}/retire", "POST /places/{code}/retire",
    "GET /links/new", "POST /links/new", "GET /links/swap", "POST /links/swap",
    "GET /links/{number}/change", "POST /links/{number}/change",
    "GET /links/{number}/disconnect", "POST /links/{number}/disconnect",
    "GET /links/{number}/replace", "POST /links/{number}/replace",
    "GET /shows/new", "POST /shows/new",
    "GET /shows/{number}/change", "POST /shows/{number}/change",
    "GET /shows/{number}/cancel", "POST /shows/{number}/cancel", "POST /shows/{number}/reinstate",
    "GET /loans/new", "POST /loans/new", "GET /loans/{number}/back", "POST /loans/{number}/back",
    "GET /loans/{number}/change", "POST /loans/{number}/change",
    "GET /services/new", "POST /services/new",
    "GET /services/{number}/change", "POST /services/{number}/change",
    "GET /spares/new", "POST /spares/new",
    "GET /spares/{name:path}/change", "POST /spares/{name:path}/change",
    "GET /spares/{name:path}/remove", "POST /spares/{name:path}/remove",
    "GET /{code}/speed/new", "POST /{code}/speed/new",
    "GET /{code}/speed/{number}", "POST /{code}/speed/{number}",
    "GET /{code}/change", "POST /{code}/change", "GET /{code}/move", "POST /{code}/move",
    "GET /{code}/state", "POST /{code}/state", "GET /{code}/lend", "POST /{code}/lend",
    "POST /{code}/back", "GET /{code}/swap", "POST /{code}/swap",
    "POST /api/faults/{number}/attempts", "POST /api/faults/{number}/close",
    "POST /api/faults/{number}/cause", "POST /api/faults/{number}/reopen",
)  # fmt: skip
# Who is let in, who is who, what is offered to all, and what nothing takes apart again.
_LEAD = (
    "GET /access", "POST /access/offer", "POST /access/script", "POST /access/strangers",
    "POST /access/feed", "POST /access/feed/{number}/end",
    "POST /access/{number}/end", "GET /audit",
    "GET /people", "GET /people/new", "POST /people/new",
    "GET /people/{name:path}/change", "POST /people/{name:path}/change",
    "GET /people/{name:path}/merge", "POST /people/{name:path}/merge",
    "GET /people/{name:path}/forget", "POST /people/{name:path}/forget",
    "POST /entries/{slug}/status",
    "GET /{code}/merge", "POST /{code}/merge",
    "GET /places/{code}/merge", "POST /places/{code}/merge",
    "GET /gear/models/{name:path}/merge", "POST /gear/models/{name:path}/merge",
)  # fmt: skip
ROWS: dict[str, Role | None] = {
    row: role
    for rows, role in (
        (_ANYBODY, None),
        (_READER, Role.READER),
        (_TECH, Role.TECH),
        (_LEAD, Role.LEAD),
    )
    for row in rows
}


def needed(method: str, path: str) -> Role | None:
    """Return the role that a route takes, None for one that is open to anybody.

    Args:
        method: The request's.
        path: As the route is written, '/faults/{number}'.
    """
    return ROWS.get(f"{method} {path}", Role.LEAD)
