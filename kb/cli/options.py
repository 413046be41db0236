"""Options that many commands share."""

from typing import Annotated

import typer

_MOST = 1_000_000  # more than there is; no database counts without end

At = Annotated[str | None, typer.Option("--at", help="When: 19:05 or 2026-10-31 19:05; else now.")]
Seen = Annotated[int | None, typer.Option("--seen", help="The version that you looked at.")]
Sure = Annotated[bool, typer.Option("--sure", help="It looks like a slip and is meant.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]
Limit = Annotated[int, typer.Option(help="How many at most.", min=1, max=_MOST)]
AnyLimit = Annotated[int | None, typer.Option(help="How many at most.", min=1, max=_MOST)]
Offset = Annotated[int, typer.Option(help="How many to leave out first.", min=0, max=_MOST)]
ItemName = Annotated[str, typer.Argument(help="The item's code or name.", metavar="CODE")]
PlaceName = Annotated[str, typer.Argument(help="Its name, path (RR/R1) or code.", metavar="PLACE")]
Reason = Annotated[str | None, typer.Option(help="Why.")]
