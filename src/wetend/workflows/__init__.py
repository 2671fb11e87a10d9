"""Load, advise, save: one file a stage, with the names the web and the command line use."""
