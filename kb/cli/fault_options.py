"""Options that the words about faults share."""

from typing import Annotated

import typer

from kb.records.kinds import CableEnd, CauseKind, Effect

Number = Annotated[int, typer.Argument(help="The fault's number.", min=1, metavar="FAULT")]
AttemptNumber = Annotated[
    int, typer.Argument(help="The attempt's number.", min=1, metavar="ATTEMPT")
]
Worked = Annotated[bool | None, typer.Option("--worked/--no-good", help="How it ended.")]
EffectOn = Annotated[Effect | None, typer.Option(help="What it did to the show.")]
End = Annotated[CableEnd | None, typer.Option(help="The end of a lead.")]
Minutes = Annotated[int | None, typer.Option(help="Minutes lost.", min=0)]
SeenAt = Annotated[str | None, typer.Option(help="Where it was seen, if no item is known.")]
EntrySlug = Annotated[str | None, typer.Option(help="The entry that fits, by its slug.")]
Reporter = Annotated[str | None, typer.Option(help="Who reports it, if not you.")]
Kind = Annotated[CauseKind, typer.Option(help="The kind of cause.", metavar="KIND")]
Blamed = Annotated[
    str | None, typer.Option(help="The item to blame, 'none'; else the one it was seen on.")
]
Note = Annotated[str | None, typer.Option(help="The cause in words.")]
