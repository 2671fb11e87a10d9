"""Everything known of each fault, one record a fault; what is done with faults is elsewhere."""
