"""A visit one act a screen: pages, the form of one act, its picture."""
