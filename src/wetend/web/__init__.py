"""Web pages: routes, forms and templates, one file a stage; everything works without script."""
