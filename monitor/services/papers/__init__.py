"""Papers of the record: what stands in each, as now or as known on a past day."""
