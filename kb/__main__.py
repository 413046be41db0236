"""Run the command: `python -m kb` is the same as `kitlore`."""

from kb.cli.app import main

if __name__ == "__main__":
    main()
