"""Papers to hand over: visit report, cards, certificate, set-up sheet, as PDF."""
