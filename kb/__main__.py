"""Run the command: `python -m kb` is the same as `kitlore`."""

import os

# Pydantic would look through every installed package for plugins at each start; we have none.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

from kb.cli.app import main

if __name__ == "__main__":
    main()
