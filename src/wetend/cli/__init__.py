"""The command line: one file a stage, every command with ``--json``."""
