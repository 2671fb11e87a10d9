"""Lives, tolerances, decisions and signals: arrays in and out, no objects of the trade."""
