"""PDF documents: visit report, cards, certificate, set-up sheet, order list."""
