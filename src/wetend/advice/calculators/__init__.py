"""Every formula on its own: named calculators with fields, working, source and validity."""
