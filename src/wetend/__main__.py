"""Entry point: ``wetend`` and ``python -m wetend``."""

from wetend.cli.app import main

if __name__ == "__main__":
    main()
